pub(crate) mod create;
pub(crate) mod edit;
pub(crate) mod hookup;
pub(crate) mod list;
pub(crate) mod read;
pub(crate) mod register;
pub(crate) mod repair;
pub(crate) mod template;
