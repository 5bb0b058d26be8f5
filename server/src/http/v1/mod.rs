//! Version 1 of the API: one file for each noun and verb.

pub(super) mod auth;
pub(super) mod bank;
pub(super) mod bundle;
pub(super) mod comparison;
pub(super) mod deposit;
pub(super) mod depots;
pub(super) mod disputes;
pub(super) mod erasure;
pub(super) mod hirer;
pub(super) mod hires;
pub(super) mod inspections;
pub(super) mod links;
pub(super) mod operations;
pub(super) mod papers;
pub(super) mod payments;
pub(super) mod photos;
pub(super) mod reports;
pub(super) mod staff;
pub(super) mod tariffs;
pub(super) mod templates;
pub(super) mod today;
pub(super) mod uploads;
pub(super) mod vehicles;
pub(super) mod workbench;
