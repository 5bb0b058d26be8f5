pub(crate) mod list;
pub(crate) mod summary;
