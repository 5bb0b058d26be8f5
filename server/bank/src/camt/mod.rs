//! ISO 20022 camt.053, bank-to-customer statement, versions 02 to 08, read as a stream: what is in memory is one entry.

mod draft;

use crate::entry::{Entry, Summary};
use crate::error::{BankError, Wrong};
use crate::guard::Guard;
use crate::identity::Identity;
use crate::{MOST_ENTRIES, cut};
use draft::Statement;
use handsel_domain::money::Currency;
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use std::io::BufRead;

/// The standard's name for the message, before its version.
const MESSAGE: &str = "urn:iso:std:iso:20022:tech:xsd:camt.053.001.";
const VERSIONS: std::ops::RangeInclusive<u32> = 2..=8;
/// Deeper than any element of the message.
const DEEPEST: usize = 32;
/// Most characters of one value that are read before they are cut: remittance information comes in lines of 140.
const LONGEST_VALUE: usize = 64 * 1024;

/// Reads a file, giving each booked entry as it comes.
///
/// # Errors
/// The first thing that is wrong, by byte; or what `take` refuses.
pub fn read<R: BufRead>(file: R, take: impl FnMut(Entry) -> Result<(), BankError>) -> Result<Summary, BankError> {
    let mut walk = Walk {
        reader: Reader::from_reader(Guard::utf8(file)),
        path: Vec::new(),
        value: String::new(),
        currency: None,
        statement: None,
        identity: Identity::default(),
        summary: Summary::default(),
        statements: 0,
        take,
    };
    walk.run()?;
    Ok(walk.summary)
}

struct Walk<R: BufRead, T> {
    reader: Reader<Guard<R>>,
    /// Names from the root to where the reader is.
    path: Vec<String>,
    /// Text of the innermost element so far.
    value: String,
    /// `Ccy` of the innermost element.
    currency: Option<String>,
    statement: Option<Statement>,
    identity: Identity,
    summary: Summary,
    statements: u64,
    take: T,
}

impl<R: BufRead, T: FnMut(Entry) -> Result<(), BankError>> Walk<R, T> {
    fn wrong(&self, wrong: Wrong) -> BankError {
        let entry = self.statement.as_ref().map_or(0, |s| self.summary.entries + u64::from(s.in_entry()));
        BankError { wrong, at: self.reader.buffer_position(), entry }
    }

    fn run(&mut self) -> Result<(), BankError> {
        let mut buffer = Vec::new();
        loop {
            buffer.clear();
            self.reader.get_mut().renew();
            let event = self.reader.read_event_into(&mut buffer).map_err(|e| self.wrong(broken(&e)))?;
            match event {
                Event::Decl(declared) => self.declared(declared.encoding().and_then(Result::ok).as_deref())?,
                Event::DocType(_) => return Err(self.wrong(Wrong::DocumentType)),
                Event::Start(start) => self.open(&start)?,
                Event::Empty(start) => {
                    self.open(&start)?;
                    self.close()?;
                }
                Event::End(_) => self.close()?,
                Event::Text(text) => {
                    let text = text.xml10_content();
                    self.text(&text)?;
                }
                Event::CData(text) => {
                    let text = text.xml10_content();
                    self.text(&text)?;
                }
                Event::GeneralRef(reference) => {
                    let name: &str = &reference;
                    match resolved(name) {
                        Some(letter) => self.text(letter.encode_utf8(&mut [0; 4]))?,
                        None => return Err(self.wrong(Wrong::Xml(format!("it names an entity `{}`", cut(name))))),
                    }
                }
                Event::Comment(_) | Event::PI(_) => {}
                Event::Eof => break,
            }
        }
        if !self.path.is_empty() {
            return Err(self.wrong(Wrong::Xml("it ends in the middle".to_owned())));
        }
        if self.statements == 0 {
            return Err(self.wrong(Wrong::NotAStatement("the file holds no statement".to_owned())));
        }
        Ok(())
    }

    fn declared(&self, encoding: Option<&str>) -> Result<(), BankError> {
        match encoding {
            Some(name) if !name.eq_ignore_ascii_case("utf-8") => {
                Err(self.wrong(Wrong::Encoding(format!("it declares {}", cut(name)))))
            }
            _ => Ok(()),
        }
    }

    fn text(&mut self, text: &str) -> Result<(), BankError> {
        if self.value.len() + text.len() > LONGEST_VALUE {
            return Err(self.wrong(Wrong::TooLarge(format!("a value of more than {LONGEST_VALUE} bytes"))));
        }
        self.value.push_str(text);
        Ok(())
    }

    fn open(&mut self, start: &BytesStart<'_>) -> Result<(), BankError> {
        if self.path.len() >= DEEPEST {
            return Err(self.wrong(Wrong::TooLarge(format!("elements nested deeper than {DEEPEST}"))));
        }
        let name = start.local_name().into_inner().to_owned();
        self.currency = None;
        if self.path.is_empty() {
            self.root(&name, start)?;
        }
        for attribute in start.attributes() {
            let attribute = attribute.map_err(|e| self.wrong(Wrong::Xml(e.to_string())))?;
            if attribute.key.into_inner() == "Ccy" {
                self.currency = Some(attribute.value.into_owned());
            }
        }
        self.value.clear();
        self.path.push(name);
        if self.in_statement() {
            self.statement = Some(Statement::default());
        } else if let Some(statement) = &mut self.statement {
            statement.open(&within(&self.path));
        }
        Ok(())
    }

    /// The root says what message the file is.
    fn root(&mut self, name: &str, start: &BytesStart<'_>) -> Result<(), BankError> {
        let mut spaces = Vec::new();
        for attribute in start.attributes() {
            let attribute = attribute.map_err(|e| self.wrong(Wrong::Xml(e.to_string())))?;
            if attribute.key.as_namespace_binding().is_some() {
                spaces.push(attribute.value.into_owned());
            }
        }
        let version = spaces.iter().find_map(|space| space.strip_prefix(MESSAGE)).map(str::to_owned);
        match version {
            Some(version) if name == "Document" && version.parse().is_ok_and(|v: u32| VERSIONS.contains(&v)) => {
                self.summary.version = Some(format!("camt.053.001.{version}"));
                Ok(())
            }
            Some(version) => {
                Err(self.wrong(Wrong::NotAStatement(format!("it is version {} of camt.053", cut(&version)))))
            }
            None => {
                let space = spaces.first().map_or_else(|| "no namespace".to_owned(), |s| cut(s));
                Err(self.wrong(Wrong::NotAStatement(format!("it is `{}` of {space}", cut(name)))))
            }
        }
    }

    fn in_statement(&self) -> bool {
        let names: Vec<&str> = self.path.iter().map(String::as_str).collect();
        names == ["Document", "BkToCstmrStmt", "Stmt"]
    }

    fn close(&mut self) -> Result<(), BankError> {
        let value = std::mem::take(&mut self.value);
        if self.in_statement() {
            if let Some(statement) = self.statement.take() {
                statement.balanced().map_err(|w| self.wrong(w))?;
                let account = statement.account().map_err(|w| self.wrong(w))?;
                if !self.summary.accounts.contains(&account) {
                    self.summary.accounts.push(account);
                }
                self.statements += 1;
            }
        } else if let Some(mut statement) = self.statement.take() {
            let currency = self.currency.take();
            let place = within(&self.path);
            let closed = match place.as_slice() {
                ["Ntry"] => statement.entry().map(Some),
                ["Bal"] => statement.balance().map(|()| None),
                place => statement.leaf(place, value.trim(), currency.as_deref()).map(|()| None),
            };
            self.statement = Some(statement);
            if let Some(drafts) = closed.map_err(|w| self.wrong(w))? {
                self.give(drafts)?;
            }
        }
        self.currency = None;
        self.path.pop();
        Ok(())
    }

    fn give(&mut self, drafts: draft::Drafts) -> Result<(), BankError> {
        match drafts {
            draft::Drafts::Pending => self.summary.pending += 1,
            draft::Drafts::Booked(entries) => {
                for entry in entries {
                    self.summary.entries += 1;
                    if self.summary.entries > MOST_ENTRIES {
                        return Err(self.wrong(Wrong::TooLarge(format!("more than {MOST_ENTRIES} entries"))));
                    }
                    let entry = self.identity.give(entry);
                    (self.take)(entry)?;
                }
            }
        }
        Ok(())
    }
}

/// Names within a statement; empty at its own element, and outside.
fn within(path: &[String]) -> Vec<&str> {
    path.iter().skip(3).map(String::as_str).collect()
}

/// The five entities of XML itself, and characters by number. There are no others without a document type.
fn resolved(name: &str) -> Option<char> {
    match name {
        "amp" => Some('&'),
        "lt" => Some('<'),
        "gt" => Some('>'),
        "apos" => Some('\''),
        "quot" => Some('"'),
        _ => {
            let number = name.strip_prefix('#')?;
            let code = match number.strip_prefix('x') {
                Some(hex) => u32::from_str_radix(hex, 16).ok()?,
                None => number.parse().ok()?,
            };
            char::from_u32(code)
        }
    }
}

fn broken(error: &quick_xml::Error) -> Wrong {
    match error {
        quick_xml::Error::Encoding(e) => Wrong::Encoding(e.to_string()),
        quick_xml::Error::Io(e) if e.kind() == std::io::ErrorKind::FileTooLarge => Wrong::TooLarge(e.to_string()),
        quick_xml::Error::Io(e) if e.kind() == std::io::ErrorKind::InvalidData => Wrong::Encoding(e.to_string()),
        quick_xml::Error::Io(e) => Wrong::Read(e.to_string()),
        other => Wrong::Xml(other.to_string()),
    }
}

pub(crate) fn currency_of(code: Option<&str>) -> Result<Currency, Wrong> {
    let code = code.ok_or(Wrong::Missing("the amount's currency"))?;
    Currency::from_code(code).ok_or_else(|| Wrong::Value {
        of: "the currency",
        value: cut(code),
        advice: "it is none that is reckoned in here".to_owned(),
    })
}
