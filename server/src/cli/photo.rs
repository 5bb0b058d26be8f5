//! `handsel photo check FILE` and `handsel photo compare BEFORE AFTER`: what the server measures of a photograph and
//! of a pair, by the same functions.

use super::compare::Format;
use handsel_imaging::{
    Advice, IngestError, Limits, Pointing, Region, RgbImage, WORKING_EDGE, fingerprint, measure, point,
};
use serde_json::{Value, json};
use std::fmt;
use std::io::{BufRead, Write};
use std::path::{Path, PathBuf};

/// Why there is no result.
#[derive(Debug)]
pub enum PhotoError {
    /// The file could not be read.
    Unreadable(PathBuf, std::io::Error),
    /// It is not a photograph that is taken in.
    NotTaken(PathBuf, IngestError),
}

impl fmt::Display for PhotoError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable(file, e) => write!(f, "{} cannot be read: {e}", file.display()),
            Self::NotTaken(file, e) => write!(f, "{}: {e}", file.display()),
        }
    }
}

impl std::error::Error for PhotoError {}

struct Opened {
    picture: RgbImage,
    /// Of the file, upright.
    width: u32,
    height: u32,
}

fn open(file: &Path) -> Result<Opened, PhotoError> {
    let bytes = std::fs::read(file).map_err(|e| PhotoError::Unreadable(file.to_owned(), e))?;
    let not_taken = |e| PhotoError::NotTaken(file.to_owned(), e);
    let (width, height) = handsel_imaging::look(&bytes, &Limits::default(), None).map_err(not_taken)?.upright_size();
    let picture = handsel_imaging::upright(&bytes, &Limits::default(), WORKING_EDGE).map_err(not_taken)?;
    Ok(Opened { picture, width, height })
}

/// The figures of one photograph.
///
/// # Errors
/// [`PhotoError`], whose words name the file and what to do.
pub fn check(file: &Path, format: Format) -> Result<String, PhotoError> {
    let opened = open(file)?;
    let quality = measure(&opened.picture);
    let print = fingerprint(&opened.picture);
    let advice = quality.advice();
    if format == Format::Json {
        let advice: Vec<_> = advice.iter().map(|a| word(*a)).collect();
        let figures = json!({
            "width": opened.width,
            "height": opened.height,
            "sharpness": quality.sharpness,
            "sharpest": quality.sharpest,
            "mean": quality.mean,
            "dark_share": quality.dark_share,
            "bright_share": quality.bright_share,
            "fingerprint": print.to_string(),
            "advice": advice,
        });
        return Ok(figures.to_string());
    }
    let mut lines = vec![
        format!("size          {} x {}", opened.width, opened.height),
        format!("sharpness     {:.1} (sharpest parts {:.1})", quality.sharpness, quality.sharpest),
        format!("mean level    {:.1} of 255", quality.mean),
        format!("nearly black  {:.1} %", quality.dark_share * 100.0),
        format!("burnt out     {:.1} %", quality.bright_share * 100.0),
        format!("fingerprint   {print}"),
    ];
    lines.extend(advice.iter().map(|a| format!("! {}", words(*a))));
    Ok(lines.join("\n"))
}

const fn word(advice: Advice) -> &'static str {
    match advice {
        Advice::Blurred => "blurred",
        Advice::TooDark => "too_dark",
        Advice::TooBright => "too_bright",
    }
}

const fn words(advice: Advice) -> &'static str {
    match advice {
        Advice::Blurred => "blurred: hold still, or wipe the lens, and take it again",
        Advice::TooDark => "too dark to show a scratch: use more light",
        Advice::TooBright => "burnt out: turn away from the light",
    }
}

/// Places of AFTER worth a look.
///
/// # Errors
/// [`PhotoError`], whose words name the file and what to do.
pub fn compare(before: &Path, after: &Path, format: Format) -> Result<String, PhotoError> {
    let found = found(before, after)?;
    if format == Format::Json {
        return Ok(found.json().to_string());
    }
    Ok(found.to_string())
}

/// Compares pair after pair, as they come: the paths of each on a line, apart by a tab; of each a line of JSON, as
/// `compare` tells it, or with an `error`. Tells how many there were, and how many could not be compared.
///
/// # Errors
/// Only where the pairs cannot be read or told: a pair that cannot be compared leaves the others alone.
pub fn compare_all(pairs: impl BufRead, mut told: impl Write) -> std::io::Result<(usize, usize)> {
    let (mut all, mut failed) = (0, 0);
    for line in pairs.lines() {
        let line = line?;
        all += 1;
        let outcome = match line.split_once('\t') {
            Some((before, after)) => found(Path::new(before), Path::new(after)).map_err(|e| e.to_string()),
            None => Err(format!("`{line}` is not the paths of two photographs, apart by a tab")),
        };
        failed += usize::from(outcome.is_err());
        let outcome = outcome.map_or_else(|error| json!({ "error": error }), |found| found.json());
        writeln!(told, "{outcome}")?;
        told.flush()?;
    }
    Ok((all, failed))
}

/// What came of one pair.
struct Found {
    aligned: bool,
    regions: Vec<Value>,
}

fn found(before: &Path, after: &Path) -> Result<Found, PhotoError> {
    let (before, after) = std::thread::scope(|scope| {
        let other = scope.spawn(|| open(after));
        let before = open(before);
        let after = other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        Ok((before?, after?))
    })?;
    let found = point(&before.picture, &after.picture, &[]);
    // Pointers are in pixels of the picture that was looked at; told in pixels of the file.
    let across = f64::from(after.width) / f64::from(after.picture.width());
    let down = f64::from(after.height) / f64::from(after.picture.height());
    let region = |r: &Region| {
        json!({
            "x": (f64::from(r.x) * across).round(),
            "y": (f64::from(r.y) * down).round(),
            "w": (f64::from(r.w) * across).round(),
            "h": (f64::from(r.h) * down).round(),
            "score": (r.score * 1000.0).round() / 1000.0,
        })
    };
    Ok(match &found {
        Pointing::Aligned(told) => Found { aligned: true, regions: told.regions.iter().map(region).collect() },
        Pointing::NotAligned => Found { aligned: false, regions: Vec::new() },
    })
}

impl Found {
    fn json(&self) -> Value {
        json!({ "aligned": self.aligned, "regions": self.regions })
    }
}

impl fmt::Display for Found {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.aligned {
            return write!(f, "The two cannot be laid over each other: compare them by eye.");
        }
        match self.regions.len() {
            0 => write!(f, "Nothing stands out. That is no proof that nothing changed."),
            n => write!(f, "{n} worth a look (a pointer for a person, never a charge):"),
        }?;
        self.regions
            .iter()
            .try_for_each(|r| write!(f, "\n  {} x {} at {}, {}; score {}", r["w"], r["h"], r["x"], r["y"], r["score"]))
    }
}
