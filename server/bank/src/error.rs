use std::fmt;

/// What is wrong with a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wrong {
    /// Bytes that are no UTF-8, or a declaration of another encoding.
    Encoding(String),
    /// A document type declaration, which could define entities: no bank sends one.
    DocumentType,
    /// Not XML, or broken off.
    Xml(String),
    /// XML of something else, or of a version that is not read here.
    NotAStatement(String),
    /// Nested deeper, or in longer pieces, than any statement is.
    TooLarge(String),
    /// A value that must be there.
    Missing(&'static str),
    /// A value that cannot be one.
    Value { of: &'static str, value: String, advice: String },
    /// Opening balance, entries and closing balance do not add up.
    Unbalanced { opening: String, entries: String, closing: String },
    /// A column of the mapping that the file does not have.
    Column(String),
    /// The file cannot be read on.
    Read(String),
}

/// Why a file is not taken, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BankError {
    pub wrong: Wrong,
    /// Byte of an XML file, line of a CSV.
    pub at: u64,
    /// The entry, counted from 1; 0 before the first.
    pub entry: u64,
}

impl fmt::Display for Wrong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Encoding(what) => write!(f, "the file is not in UTF-8 ({what}): ask the bank for it in UTF-8"),
            Self::DocumentType => {
                f.write_str("the file declares a document type, which no statement does: get it from the bank again")
            }
            Self::Xml(what) => write!(f, "the file is no complete XML ({what}): get it from the bank again"),
            Self::NotAStatement(what) => write!(f, "{what}: choose a camt.053 statement, version 02 to 08"),
            Self::TooLarge(what) => write!(f, "{what}: this is no bank's statement"),
            Self::Missing(what) => write!(f, "{what} is missing"),
            Self::Value { of, value, advice } => write!(f, "{of} is `{value}`: {advice}"),
            Self::Unbalanced { opening, entries, closing } => write!(
                f,
                "opening balance {opening} and entries of {entries} do not come to the closing balance {closing}: the \
                 file is not whole, or a sign is wrong; get it from the bank again"
            ),
            Self::Column(name) => write!(f, "the file has no column `{name}`: name its columns as its first line does"),
            Self::Read(what) => write!(f, "the file cannot be read on: {what}"),
        }
    }
}

impl fmt::Display for BankError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.entry > 0 {
            write!(f, "Entry {} (at {}): {}.", self.entry, self.at, self.wrong)
        } else {
            write!(f, "At {}: {}.", self.at, self.wrong)
        }
    }
}

impl std::error::Error for BankError {}

impl Wrong {
    /// A stable code for problem documents.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Encoding(_) => "encoding",
            Self::DocumentType => "document_type",
            Self::Xml(_) => "xml",
            Self::NotAStatement(_) => "not_a_statement",
            Self::TooLarge(_) => "too_large",
            Self::Missing(_) => "value_missing",
            Self::Value { .. } => "value_invalid",
            Self::Unbalanced { .. } => "unbalanced",
            Self::Column(_) => "column_missing",
            Self::Read(_) => "unreadable",
        }
    }
}
