//! The tables, one file each, column by column as the migrations make them.

pub(super) mod briefing;
pub(super) mod decision;
pub(super) mod depot;
pub(super) mod driver;
pub(super) mod entry;
pub(super) mod hire;
pub(super) mod idempotency;
pub(super) mod inspection;
pub(super) mod job;
pub(super) mod login_failure;
pub(super) mod mark;
pub(super) mod movement;
pub(super) mod photo;
pub(super) mod photo_disposition;
pub(super) mod photo_fact;
pub(super) mod photo_pointing;
pub(super) mod photo_repeat;
pub(super) mod refresh_token;
pub(super) mod sighting;
pub(super) mod signature;
pub(super) mod staff;
pub(super) mod tariff;
pub(super) mod template;
pub(super) mod vehicle;
