//! The server's own source, for tests about its shape.

use std::fs;
use std::path::{Path, PathBuf};

pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_path_buf()
}

/// Every file of Rust under a folder of the project: its path from there, and what it says.
pub(crate) fn files(folder: &str) -> Vec<(String, String)> {
    let top = root().join(folder);
    let mut found = Vec::new();
    let mut folders = vec![top.clone()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let name = path.strip_prefix(&top).unwrap().to_string_lossy().into_owned();
                found.push((name, fs::read_to_string(&path).unwrap()));
            }
        }
    }
    assert!(!found.is_empty(), "{folder} has no source");
    found.sort();
    found
}
