//! Handsel's rules, pure: no input or output, no clock, no randomness. Time, ids and documents are passed in.
//!
//! `RULES.md` beside this crate says what is computed; each module names the rule it follows.

pub mod briefing;
pub mod builtin;
pub mod canonical;
pub mod case;
pub mod case_check;
pub mod case_schema;
pub mod charges;
pub mod comparison;
pub mod conflict;
pub mod damage;
pub mod deposit;
pub mod dispute;
pub mod entry_check;
pub mod evidence;
pub mod exact;
pub mod gate;
pub mod hire;
pub mod hookup;
pub mod ids;
pub mod inspection;
pub mod measure;
pub mod money;
pub mod photo;
pub mod policy;
pub mod readings;
pub mod reconcile;
pub mod record;
pub mod report;
pub mod shown;
pub mod sync;
pub mod tariff;
pub mod template;
pub mod template_check;
pub mod text;
pub mod time;
pub mod units;
pub mod words;
