pub(crate) mod take;
