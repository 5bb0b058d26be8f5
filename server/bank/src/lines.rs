//! Which line a record of a CSV stands on. The reader of records counts the empty lines before a record, and the second
//! half of the line end before it, as the record's own beginning.

use std::collections::VecDeque;
use std::io::{self, Read};

/// Passes bytes on and notes where lines begin, as long as somebody may ask for them.
#[derive(Debug)]
pub(crate) struct Lines<R> {
    inner: R,
    read: u64,
    line: u64,
    /// Nothing but the line's end has come of the line so far.
    bare: bool,
    /// Where the first byte of each line that has any stands, and the line's number.
    begun: VecDeque<(u64, u64)>,
}

impl<R> Lines<R> {
    /// `skipped` lines were taken off before.
    pub(crate) fn new(inner: R, skipped: u32) -> Self {
        Self { inner, read: 0, line: u64::from(skipped) + 1, bare: true, begun: VecDeque::new() }
    }

    /// The line of the record that was read from this byte on; what lies before it is forgotten.
    pub(crate) fn of(&mut self, byte: u64) -> u64 {
        while self.begun.front().is_some_and(|(at, _)| *at < byte) {
            self.begun.pop_front();
        }
        self.begun.front().map_or(self.line, |(_, line)| *line)
    }

    pub(crate) const fn inner(&mut self) -> &mut R {
        &mut self.inner
    }
}

impl<R: Read> Read for Lines<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let count = self.inner.read(into)?;
        for byte in into.iter().take(count) {
            match byte {
                b'\n' => {
                    self.line += 1;
                    self.bare = true;
                }
                b'\r' => {}
                _ if self.bare => {
                    self.begun.push_back((self.read, self.line));
                    self.bare = false;
                }
                _ => {}
            }
            self.read += 1;
        }
        Ok(count)
    }
}
