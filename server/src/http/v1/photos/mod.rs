pub(crate) mod original;
pub(crate) mod read;
mod serve;
