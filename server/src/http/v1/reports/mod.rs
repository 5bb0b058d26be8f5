pub(crate) mod read;
pub(crate) mod table;
pub(crate) mod workbook;
