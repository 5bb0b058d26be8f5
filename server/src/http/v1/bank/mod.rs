pub(crate) mod entries;
pub(crate) mod import;
pub(crate) mod imports;
pub(crate) mod put_aside;
pub(crate) mod put_match;
pub(crate) mod remove_match;
pub(crate) mod send;
