pub(crate) mod login;
pub(crate) mod logout;
pub(crate) mod me;
pub(crate) mod refresh;
