pub(crate) mod create;
pub(crate) mod list;
pub(crate) mod read;
pub(crate) mod replace;
