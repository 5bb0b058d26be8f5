//! `handsel photo check FILE` and `handsel photo compare BEFORE AFTER`: what the server measures of a photograph and
//! of a pair, by the same functions.

use super::compare::Format;
use handsel_imaging::{Advice, IngestError, Limits, Pointing, RgbImage, WORKING_EDGE, fingerprint, measure, point};
use serde_json::json;
use std::fmt;
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
    let regions: Vec<_> = match &found {
        Pointing::Aligned(aligned) => aligned
            .regions
            .iter()
            .map(|r| {
                json!({
                    "x": (f64::from(r.x) * across).round(),
                    "y": (f64::from(r.y) * down).round(),
                    "w": (f64::from(r.w) * across).round(),
                    "h": (f64::from(r.h) * down).round(),
                    "score": (r.score * 1000.0).round() / 1000.0,
                })
            })
            .collect(),
        Pointing::NotAligned => Vec::new(),
    };
    let aligned = matches!(found, Pointing::Aligned(_));
    if format == Format::Json {
        return Ok(json!({ "aligned": aligned, "regions": regions }).to_string());
    }
    if !aligned {
        return Ok("The two cannot be laid over each other: compare them by eye.".to_owned());
    }
    let mut lines = vec![match regions.len() {
        0 => "Nothing stands out. That is no proof that nothing changed.".to_owned(),
        n => format!("{n} worth a look (a pointer for a person, never a charge):"),
    }];
    lines.extend(
        regions.iter().map(|r| format!("  {} x {} at {}, {}; score {}", r["w"], r["h"], r["x"], r["y"], r["score"])),
    );
    Ok(lines.join("\n"))
}
