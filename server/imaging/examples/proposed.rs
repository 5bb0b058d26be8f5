//! Writes the places that the network proposes in pairs of photographs, with the figures they are judged by. For
//! `tests/bench/fit-pointing`.
//!
//!     cargo run --release -p handsel-imaging --example proposed -- [SQUARES] < NAMES-AND-PATHS
//!
//! One pair a line: a name, BEFORE and AFTER, apart by tabs. Writes a line for each place, apart by tabs: the name, x,
//! y, width and height in pixels of the picture as it was compared, then the figures. Into the file SQUARES go, one
//! after the other, the squares that a closer look would see.

use handsel_imaging::{Limits, RgbImage, WORKING_EDGE, proposed, upright};
use std::error::Error;
use std::io::Write;

fn open(path: &str) -> Result<RgbImage, Box<dyn Error>> {
    Ok(upright(&std::fs::read(path)?, &Limits::default(), WORKING_EDGE)?)
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut out = std::io::stdout().lock();
    let mut squares = std::env::args().nth(1).map(std::fs::File::create).transpose()?.map(std::io::BufWriter::new);
    for line in std::io::stdin().lines() {
        let line = line?;
        let mut parts = line.split('\t');
        let (Some(name), Some(before), Some(after)) = (parts.next(), parts.next(), parts.next()) else {
            return Err(format!("`{line}` is not a name and two paths, apart by tabs").into());
        };
        for candidate in proposed(&open(before)?, &open(after)?).unwrap_or_default() {
            let place = candidate.region;
            write!(out, "{name}\t{}\t{}\t{}\t{}", place.x, place.y, place.w, place.h)?;
            candidate.figures.iter().try_for_each(|figure| write!(out, "\t{figure}"))?;
            writeln!(out)?;
            if let Some(squares) = &mut squares {
                squares.write_all(&candidate.square)?;
            }
        }
    }
    if let Some(mut squares) = squares {
        squares.flush()?;
    }
    Ok(())
}
