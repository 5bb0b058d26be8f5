//! A reader that gives up on pieces longer than any statement has, before they are in memory.

use std::io::{self, BufRead, Read};

/// Most bytes of one piece: a tag with its attributes, or the text between two tags.
const LONGEST_PIECE: usize = 256 * 1024;

#[derive(Debug)]
pub(crate) struct Guard<R> {
    inner: R,
    left: usize,
    /// The beginning of a character whose rest has not come yet; none: bytes are not looked at.
    begun: Option<Vec<u8>>,
    /// What was wrong with the bytes given out last.
    wrong: Option<String>,
}

impl<R> Guard<R> {
    /// Any bytes.
    pub(crate) const fn new(inner: R) -> Self {
        Self { inner, left: LONGEST_PIECE, begun: None, wrong: None }
    }

    /// Only UTF-8 (RFC 3629).
    pub(crate) const fn utf8(inner: R) -> Self {
        Self { inner, left: LONGEST_PIECE, begun: Some(Vec::new()), wrong: None }
    }

    /// A new piece begins.
    pub(crate) const fn renew(&mut self) {
        self.left = LONGEST_PIECE;
    }
}

fn too_long() -> io::Error {
    io::Error::new(io::ErrorKind::FileTooLarge, "a piece of more than 256 KiB")
}

impl<R: Read> Read for Guard<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        if self.left == 0 {
            return Err(too_long());
        }
        let most = into.len().min(self.left);
        let read = match into.get_mut(..most) {
            Some(into) => self.inner.read(into)?,
            None => 0,
        };
        self.left = self.left.saturating_sub(read);
        Ok(read)
    }
}

/// What is left begun after some more bytes, if all before it is text.
fn text(begun: &[u8], more: &[u8]) -> Result<Vec<u8>, String> {
    let all = [begun, more].concat();
    match std::str::from_utf8(&all) {
        Ok(_) => Ok(Vec::new()),
        Err(error) if error.error_len().is_none() => Ok(all.get(error.valid_up_to()..).unwrap_or_default().to_vec()),
        Err(error) => Err(error.to_string()),
    }
}

impl<R: BufRead> BufRead for Guard<R> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.left == 0 {
            return Err(too_long());
        }
        if let Some(wrong) = self.wrong.take() {
            return Err(io::Error::new(io::ErrorKind::InvalidData, wrong));
        }
        let there = self.inner.fill_buf()?;
        Ok(there.get(..there.len().min(self.left)).unwrap_or(there))
    }

    fn consume(&mut self, amount: usize) {
        // Looked at once, as it goes; what is wrong is told when more is asked for, and be it the end.
        if let (Some(begun), Ok(there)) = (&mut self.begun, self.inner.fill_buf()) {
            match text(begun, there.get(..amount).unwrap_or(there)) {
                Ok(left) => *begun = left,
                Err(wrong) => self.wrong = Some(wrong),
            }
        }
        self.left = self.left.saturating_sub(amount);
        self.inner.consume(amount);
    }
}
