pub(crate) mod create;
pub(crate) mod edit;
pub(crate) mod list;
pub(crate) mod read;
