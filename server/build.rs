//! Builds the app for the browser, so that `cargo run` is the whole build.
//!
//! HANDSEL_WEB_BUILD=skip leaves it out, for a machine without Node; the server then says that it has no pages.

use std::error::Error;
use std::path::Path;
use std::process::Command;
use std::{env, fs};

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo::rerun-if-env-changed=HANDSEL_WEB_BUILD");
    let web = Path::new("../web");
    for name in ["src", "public", "index.html", "package-lock.json", "vite.config.ts", "svelte.config.js"] {
        println!("cargo::rerun-if-changed={}", web.join(name).display());
    }
    if env::var("HANDSEL_WEB_BUILD").is_ok_and(|v| v == "skip") {
        return Ok(());
    }
    install(web)?;
    npm(web, &["run", "build"])
}

/// Installs the packages of the lock file, unless they are there already.
fn install(web: &Path) -> Result<(), Box<dyn Error>> {
    let lock = fs::read(web.join("package-lock.json"))?;
    let note = web.join("node_modules/.handsel-lock");
    if fs::read(&note).is_ok_and(|installed| installed == lock) {
        return Ok(());
    }
    npm(web, &["ci", "--no-audit", "--no-fund", "--loglevel=error"])?;
    Ok(fs::write(note, lock)?)
}

fn npm(web: &Path, arguments: &[&str]) -> Result<(), Box<dyn Error>> {
    let done = Command::new("npm").args(arguments).current_dir(web).output().map_err(|e| {
        format!("npm cannot be run ({e}): install Node 20 or newer with npm, or set HANDSEL_WEB_BUILD=skip")
    })?;
    if done.status.success() {
        return Ok(());
    }
    let said = format!("{}{}", String::from_utf8_lossy(&done.stdout), String::from_utf8_lossy(&done.stderr));
    Err(format!("npm {} failed:\n{said}", arguments.join(" ")).into())
}
