pub(crate) mod answer;
pub(crate) mod list;
pub(crate) mod photo;
