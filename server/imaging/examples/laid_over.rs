//! Lays pairs of photographs over each other and writes what the network is fitted on. For `tests/bench/fit-pointing`.
//!
//!     cargo run --release -p handsel-imaging --example laid_over -- FOLDER < NAMES-AND-PATHS
//!
//! One pair a line: a name, BEFORE and AFTER, apart by tabs. Writes `FOLDER/NAME.bin`: the noise as a single, then each
//! plane as its width and height (32 bits each) and its values times a hundred (16 bits with sign), all with the low
//! byte first. Pairs that cannot be laid over each other are named on standard error and left out.

use handsel_imaging::{Limits, Plane, RgbImage, WORKING_EDGE, laid, upright};
use std::error::Error;
use std::io::Write;

fn open(path: &str) -> Result<RgbImage, Box<dyn Error>> {
    Ok(upright(&std::fs::read(path)?, &Limits::default(), WORKING_EDGE)?)
}

#[expect(clippy::as_conversions, reason = "from float to integer saturates")]
fn put(out: &mut impl Write, plane: &Plane) -> Result<(), Box<dyn Error>> {
    out.write_all(&u32::try_from(plane.width())?.to_le_bytes())?;
    out.write_all(&u32::try_from(plane.height())?.to_le_bytes())?;
    for value in plane.values() {
        out.write_all(&((value * 100.0).round() as i16).to_le_bytes())?;
    }
    Ok(())
}

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args().nth(1).ok_or("a folder to write to is needed")?;
    for line in std::io::stdin().lines() {
        let line = line?;
        let mut parts = line.split('\t');
        let (Some(name), Some(before), Some(after)) = (parts.next(), parts.next(), parts.next()) else {
            return Err(format!("`{line}` is not a name and two paths, apart by tabs").into());
        };
        let Some(laid) = laid(&open(before)?, &open(after)?) else {
            eprintln!("{name}: cannot be laid over each other");
            continue;
        };
        let mut out = std::io::BufWriter::new(std::fs::File::create(format!("{folder}/{name}.bin"))?);
        out.write_all(&laid.noise.to_le_bytes())?;
        let planes = laid.luma.iter().chain(&laid.colours).chain(&laid.light).chain([&laid.loose, &laid.shown]);
        for plane in planes {
            put(&mut out, plane)?;
        }
        out.flush()?;
    }
    Ok(())
}
