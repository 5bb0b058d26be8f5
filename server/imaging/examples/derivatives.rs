//! The three copies of a photograph as JPEG, made the way the server makes them: for measuring.
//!
//! `cargo run --release -p handsel-imaging --example derivatives -- PHOTOGRAPH FOLDER`

use handsel_imaging::{Encoding, Limits, encode, smaller, upright};
use std::error::Error;
use std::path::PathBuf;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args_os().skip(1).map(PathBuf::from);
    let (Some(photograph), Some(folder)) = (arguments.next(), arguments.next()) else {
        return Err("name a photograph and a folder".into());
    };
    let bytes = std::fs::read(photograph)?;
    let mut image = upright(&bytes, &Limits::default(), 2560)?;
    drop(bytes);
    for (edge, name) in [(2560, "zoom.jpg"), (1600, "screen.jpg"), (320, "list.jpg")] {
        image = smaller(image, edge)?;
        std::fs::write(folder.join(name), encode(&image, Encoding::Jpeg)?)?;
    }
    Ok(())
}
