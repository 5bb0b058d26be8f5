pub(crate) mod before;
pub(crate) mod dispose;
pub(crate) mod original;
pub(crate) mod pointers;
pub(crate) mod read;
pub(crate) mod serve;
