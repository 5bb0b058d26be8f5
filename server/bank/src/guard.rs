//! A reader that gives up on pieces longer than any statement has, before they are in memory.

use std::io::{self, BufRead, Read};

/// Most bytes of one piece: a tag with its attributes, or the text between two tags.
const LONGEST_PIECE: usize = 256 * 1024;

#[derive(Debug)]
pub(crate) struct Guard<R> {
    inner: R,
    left: usize,
}

impl<R> Guard<R> {
    pub(crate) const fn new(inner: R) -> Self {
        Self { inner, left: LONGEST_PIECE }
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

impl<R: BufRead> BufRead for Guard<R> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.left == 0 {
            return Err(too_long());
        }
        let there = self.inner.fill_buf()?;
        Ok(there.get(..there.len().min(self.left)).unwrap_or(there))
    }

    fn consume(&mut self, amount: usize) {
        self.left = self.left.saturating_sub(amount);
        self.inner.consume(amount);
    }
}
