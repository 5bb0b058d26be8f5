//! Two independent readers of PDF.

use std::fs;
use std::path::PathBuf;
use std::process::Command;
use tempfile::TempDir;

/// A document in a file of its own.
pub(crate) struct Pdf {
    folder: TempDir,
    path: PathBuf,
}

impl Pdf {
    pub(crate) fn new(bytes: &[u8]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("paper.pdf");
        fs::write(&path, bytes).unwrap();
        // For somebody who wants to look at what the tests set.
        if let Ok(kept) = std::env::var("HANDSEL_KEEP_PAPERS") {
            let name = std::thread::current().name().unwrap_or("paper").replace("::", "-");
            let count = fs::read_dir(&kept).unwrap().count();
            fs::write(PathBuf::from(kept).join(format!("{name}-{count}.pdf")), bytes).unwrap();
        }
        Self { folder, path }
    }

    fn run(&self, program: &str, options: &[&str], after: &[&str]) -> String {
        let output = Command::new(program).args(options).arg(&self.path).args(after).output();
        let output = output.unwrap_or_else(|e| panic!("{program} is needed (Debian: poppler-utils, qpdf): {e}"));
        let errors = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{program}: {errors}");
        String::from_utf8(output.stdout).unwrap()
    }

    /// Text in the order of the content.
    pub(crate) fn text(&self) -> String {
        self.run("pdftotext", &["-raw", "-enc", "UTF-8"], &["-"])
    }

    /// Text as it lies on the pages.
    pub(crate) fn layout(&self) -> String {
        self.run("pdftotext", &["-layout", "-enc", "UTF-8"], &["-"])
    }

    pub(crate) fn info(&self) -> String {
        self.run("pdfinfo", &[], &[])
    }

    /// The tree of tags with what each says.
    pub(crate) fn tags(&self) -> String {
        self.run("pdfinfo", &["-struct-text"], &[])
    }

    pub(crate) fn metadata(&self) -> String {
        self.run("pdfinfo", &["-meta"], &[])
    }

    pub(crate) fn pages(&self) -> u32 {
        let info = self.info();
        info.lines().find_map(|l| l.strip_prefix("Pages:")).unwrap().trim().parse().unwrap()
    }

    /// The document as qpdf writes it out, after it has checked it.
    pub(crate) fn checked(&self) -> String {
        let told = self.run("qpdf", &["--check"], &[]);
        assert!(told.contains("No syntax or stream encoding errors found"), "{told}");
        let plain = self.folder.path().join("plain.pdf");
        let plain_path = plain.to_string_lossy().into_owned();
        let _ = self.run("qpdf", &["--qdf", "--object-streams=disable"], &[&plain_path]);
        String::from_utf8_lossy(&fs::read(plain).unwrap()).into_owned()
    }

    /// Every page as a picture, as far as it is not white: width and height in pixels of what is printed, by page.
    pub(crate) fn printed(&self) -> Vec<Printed> {
        let root = self.folder.path().join("page");
        let root = root.to_string_lossy().into_owned();
        let _ = self.run("pdftoppm", &["-r", "50", "-gray"], &[&root]);
        let mut files: Vec<PathBuf> = fs::read_dir(self.folder.path())
            .unwrap()
            .map(|f| f.unwrap().path())
            .filter(|p| p.extension().is_some_and(|e| e == "pgm"))
            .collect();
        files.sort();
        files.iter().map(|file| Printed::read(&fs::read(file).unwrap())).collect()
    }
}

/// Where ink is on a page, in shares of its width and height, from the top left corner.
#[derive(Debug)]
pub(crate) struct Printed {
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
    pub(crate) dark: usize,
}

impl Printed {
    /// Whether the margins are empty.
    pub(crate) const fn within(&self) -> bool {
        self.left > 0.08 && self.right < 0.92 && self.bottom < 0.97
    }

    /// Reads a portable grey map.
    fn read(bytes: &[u8]) -> Self {
        let mut fields = Vec::new();
        let mut at = 0;
        while fields.len() < 4 {
            let end = at + bytes[at..].iter().position(u8::is_ascii_whitespace).unwrap();
            fields.push(String::from_utf8(bytes[at..end].to_vec()).unwrap());
            at = end + 1;
        }
        assert_eq!(fields[0], "P5");
        let (width, height): (usize, usize) = (fields[1].parse().unwrap(), fields[2].parse().unwrap());
        let dark: Vec<usize> =
            bytes[at..].iter().enumerate().filter(|(_, grey)| **grey < 200).map(|(at, _)| at).collect();
        let share = |n: usize, of: usize| f64::from(u32::try_from(n).unwrap()) / f64::from(u32::try_from(of).unwrap());
        Self {
            left: share(dark.iter().map(|at| at % width).min().unwrap(), width),
            right: share(dark.iter().map(|at| at % width).max().unwrap(), width),
            bottom: share(dark.iter().map(|at| at / width).max().unwrap(), height),
            dark: dark.len(),
        }
    }
}
