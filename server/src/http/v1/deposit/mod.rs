pub(crate) mod ledger;
pub(crate) mod post_movement;
pub(crate) mod settle;
pub(crate) mod statement;
pub(crate) mod statement_page;
