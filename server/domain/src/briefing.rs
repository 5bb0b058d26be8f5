//! When a briefing topic is due, and when it counts as missed (rule 7).

use crate::template::Key;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The condition under which a topic is due, read against a vehicle and a hire.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "when", rename_all = "snake_case", deny_unknown_fields)]
#[schema(no_recursion)]
pub enum When {
    Always,
    /// This equipment is fitted.
    Equipment {
        key: Key,
    },
    /// The hire touches one of these months (1 to 12), on the depot's calendar.
    Months {
        months: Vec<u8>,
    },
    /// The hire says it goes there, such as `alpine`.
    Trip {
        key: Key,
    },
    /// The hirer has never had this layout.
    NewToLayout,
    Pets,
    Trailer,
    /// Every one of these.
    All {
        of: Vec<When>,
    },
    /// At least one of these.
    Any {
        of: Vec<When>,
    },
}
