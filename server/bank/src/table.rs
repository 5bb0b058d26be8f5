//! A CSV gone through record by record, whatever its columns mean.

use crate::MOST_ENTRIES;
use crate::columns::Encoding;
use crate::error::{BankError, Wrong};
use crate::guard::Guard;
use crate::lines::Lines;
use csv::{ByteRecord, ReaderBuilder, StringRecord};
use std::io::Read;

/// How a file is a table.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Shape {
    pub separator: char,
    pub encoding: Encoding,
    /// Lines above the one with the names.
    pub skip_lines: u32,
}

/// Goes through a file: `find` learns the names of its columns, `take` gets the line and the values of each record that
/// is not empty. Gives how many there were.
///
/// # Errors
/// The first thing that is wrong, by line; or what `take` refuses.
pub(crate) fn each<R: Read, P, T>(
    mut file: R,
    shape: Shape,
    find: impl FnOnce(&StringRecord) -> Result<P, Wrong>,
    read: impl Fn(&StringRecord, &P) -> Result<T, Wrong>,
    mut take: impl FnMut(u64, T) -> Result<(), BankError>,
) -> Result<u64, BankError> {
    let wrong = |at: u64, entry: u64| move |wrong: Wrong| BankError { wrong, at, entry };
    let unreadable = |at, entry| move |e: csv::Error| wrong(at, entry)(Wrong::Read(e.to_string()));
    let separator = separator(shape.separator).map_err(wrong(0, 0))?;
    skip_lines(&mut file, shape.skip_lines).map_err(|e| wrong(1, 0)(Wrong::Read(e.to_string())))?;
    // Bytes are made text value by value: a file need not be in memory.
    let mut reader = ReaderBuilder::new()
        .delimiter(separator)
        .flexible(true)
        .from_reader(Lines::new(Guard::new(file), shape.skip_lines));
    let headers = reader.byte_headers().map_err(unreadable(1, 0))?.clone();
    let headers = decoded(headers.iter(), shape.encoding).map_err(wrong(1, 0))?;
    let places = find(&headers).map_err(wrong(1, 0))?;
    let mut count = 0;
    let mut record = ByteRecord::new();
    while reader.read_byte_record(&mut record).map_err(unreadable(0, count + 1))? {
        let line = reader.get_mut().of(record.position().map_or(0, csv::Position::byte));
        reader.get_mut().inner().renew();
        let values = decoded(record.iter(), shape.encoding).map_err(wrong(line, count + 1))?;
        if values.iter().all(|v| v.trim().is_empty()) {
            continue;
        }
        count += 1;
        if count > MOST_ENTRIES {
            return Err(wrong(line, count)(Wrong::TooLarge(format!("more than {MOST_ENTRIES} entries"))));
        }
        take(line, read(&values, &places).map_err(wrong(line, count))?)?;
    }
    Ok(count)
}

/// Where the column of a name is.
pub(crate) fn place(headers: &StringRecord, name: &str) -> Result<usize, Wrong> {
    headers.iter().position(|h| h.trim() == name.trim()).ok_or_else(|| Wrong::Column(name.to_owned()))
}

fn separator(separator: char) -> Result<u8, Wrong> {
    u8::try_from(separator).map_err(|_| Wrong::Value {
        of: "separator",
        value: separator.to_string(),
        advice: "use one plain character, such as , or ;".to_owned(),
    })
}

fn skip_lines<R: Read>(file: &mut R, lines: u32) -> std::io::Result<()> {
    let mut byte = [0];
    let mut left = lines;
    while left > 0 && file.read(&mut byte)? > 0 {
        if byte == [b'\n'] {
            left -= 1;
        }
    }
    Ok(())
}

fn decoded<'a>(values: impl Iterator<Item = &'a [u8]>, encoding: Encoding) -> Result<StringRecord, Wrong> {
    let mut record = StringRecord::new();
    for (index, value) in values.enumerate() {
        match encoding {
            Encoding::Utf8 => {
                let text = std::str::from_utf8(value).map_err(|e| Wrong::Encoding(e.to_string()))?;
                // A mark some programs put before the first name.
                record.push_field(if index == 0 { text.trim_start_matches('\u{feff}') } else { text });
            }
            Encoding::Windows1252 => {
                record.push_field(&encoding_rs::WINDOWS_1252.decode_without_bom_handling(value).0);
            }
        }
    }
    Ok(record)
}
