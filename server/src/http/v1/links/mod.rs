pub(crate) mod list;
pub(crate) mod make;
pub(crate) mod revoke;
