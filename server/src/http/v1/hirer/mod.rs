pub(crate) mod dispute;
pub(crate) mod photo;
pub(crate) mod put_photo;
pub(crate) mod read;
pub(crate) mod record;
pub(crate) mod statement;
