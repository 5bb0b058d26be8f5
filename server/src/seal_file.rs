//! The file with the key that signs seals. It is made once, readable by the server alone, and goes into every backup:
//! seals made with it are checked with its public half, which each carries.

use crate::app::SealKey;
use crate::effects::Effects;
use crate::startup::StartError;
use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;

/// Reads the key, or makes it where there is none.
pub(crate) fn open(path: &Path, effects: &Effects) -> Result<SealKey, StartError> {
    let failed = |why: &dyn std::fmt::Display| {
        StartError::of(format!("the key that signs seals, {}, cannot be used", path.display()), why)
    };
    match fs::read_to_string(path) {
        Ok(pem) => SealKey::read(&pem).map_err(|e| failed(&e)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            let mut secret = [0_u8; 32];
            effects.random.fill(&mut secret);
            match write(path, &SealKey::of(&secret).to_pem()) {
                // Another server that was started at the same time was faster: its key is everybody's.
                Err(error) if error.kind() != io::ErrorKind::AlreadyExists => Err(failed(&error)),
                _ => {
                    let pem = fs::read_to_string(path).map_err(|e| failed(&e))?;
                    SealKey::read(&pem).map_err(|e| failed(&e))
                }
            }
        }
        Err(error) => Err(failed(&error)),
    }
}

/// Written aside and linked: the key is there whole or not at all, and one that is there already stays.
pub(crate) fn write(path: &Path, pem: &str) -> io::Result<()> {
    let aside = path.with_extension(format!("new-{}", std::process::id()));
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)?;
    }
    let mut file = OpenOptions::new().write(true).create(true).truncate(true).mode(0o600).open(&aside)?;
    file.write_all(pem.as_bytes())?;
    file.sync_all()?;
    drop(file);
    let linked = fs::hard_link(&aside, path);
    fs::remove_file(&aside)?;
    linked
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::PermissionsExt;

    #[test]
    fn a_key_is_made_once_for_the_server_alone() {
        let dir = tempfile::TempDir::new().unwrap();
        let path = dir.path().join("keys/seal.pem");
        let made = open(&path, &Effects::system()).unwrap();
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o600);
        assert_eq!(open(&path, &Effects::system()).unwrap().id(), made.id());
        assert_eq!(fs::read_dir(dir.path().join("keys")).unwrap().count(), 1, "nothing is left beside it");
        // Whoever comes second leaves the first one's key alone.
        assert_eq!(write(&path, "another").unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(open(&path, &Effects::system()).unwrap().id(), made.id());
        fs::write(&path, "no key").unwrap();
        let told = open(&path, &Effects::system()).unwrap_err().to_string();
        assert!(told.contains("seal.pem"), "{told}");
    }
}
