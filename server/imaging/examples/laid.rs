//! Tells where places of AFTER are in BEFORE, for checking how well the two are laid over each other.
//!
//!     cargo run --release -p handsel-imaging --example laid -- BEFORE AFTER < PLACES
//!
//! One place of AFTER a line, in pixels: `x y`. Writes `x y` of BEFORE for each, or nothing at all where the two cannot
//! be laid over each other.

use handsel_imaging::{Limits, Pointing, RgbImage, WORKING_EDGE, point, upright};
use std::error::Error;
use std::io::Write;

fn open(path: &str) -> Result<(RgbImage, f64, f64), Box<dyn Error>> {
    let bytes = std::fs::read(path)?;
    let (width, height) = handsel_imaging::look(&bytes, &Limits::default(), None)?.upright_size();
    Ok((upright(&bytes, &Limits::default(), WORKING_EDGE)?, f64::from(width), f64::from(height)))
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut paths = std::env::args().skip(1);
    let (Some(before), Some(after)) = (paths.next(), paths.next()) else {
        return Err("two pictures are needed: BEFORE and AFTER".into());
    };
    let ((before, across, down), (after, width, height)) = (open(&before)?, open(&after)?);
    let Pointing::Aligned(aligned) = point(&before, &after, &[]) else { return Ok(()) };
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lines() {
        let line = line?;
        let mut numbers = line.split_whitespace().map(str::parse::<f64>);
        let (Some(x), Some(y)) = (numbers.next(), numbers.next()) else {
            return Err(format!("`{line}` is not two numbers").into());
        };
        let (u, v) = aligned.warp.place((x? + 0.5) / width, (y? + 0.5) / height);
        writeln!(out, "{} {}", u * across - 0.5, v * down - 0.5)?;
    }
    Ok(())
}
