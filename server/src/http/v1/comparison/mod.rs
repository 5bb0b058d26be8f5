pub(crate) mod case;
pub(crate) mod decide;
pub(crate) mod decide_several;
pub(crate) mod decisions;
pub(crate) mod read;
