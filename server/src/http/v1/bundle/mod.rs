pub(crate) mod read;
