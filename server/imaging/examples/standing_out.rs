//! Writes every place that stands out in pairs of photographs, with what is told about it, as CSV. What
//! `tests/bench/fit-pointing` fits the score on.
//!
//!     cargo run --release -p handsel-imaging --example standing_out -- < BEFORE-AND-AFTER-PATHS > PLACES.csv
//!
//! One pair a line: a name, BEFORE and AFTER, apart by tabs.

use handsel_imaging::places::FEATURES;
use handsel_imaging::{Limits, RgbImage, WORKING_EDGE, standing_out, upright};
use std::error::Error;
use std::io::Write;

fn open(path: &str) -> Result<RgbImage, Box<dyn Error>> {
    Ok(upright(&std::fs::read(path)?, &Limits::default(), WORKING_EDGE)?)
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut out = std::io::stdout().lock();
    writeln!(out, "pair,left,top,w,h,{}", FEATURES.join(","))?;
    for line in std::io::stdin().lines() {
        let line = line?;
        let mut parts = line.split('\t');
        let (Some(name), Some(before), Some(after)) = (parts.next(), parts.next(), parts.next()) else {
            return Err(format!("`{line}` is not a name and two paths, apart by tabs").into());
        };
        for place in standing_out(&open(before)?, &open(after)?).unwrap_or_default() {
            let (w, h) = (place.right - place.left, place.bottom - place.top);
            let told: Vec<String> = place.features.iter().map(ToString::to_string).collect();
            writeln!(out, "{name},{},{},{w},{h},{}", place.left, place.top, told.join(","))?;
        }
    }
    Ok(())
}
