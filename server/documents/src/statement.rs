//! The itemised statement of one hire: what is charged and why, the tax inside it, and where the deposit went.

use handsel_domain::charges::{Comparison, Line, LineState, Part, TaxGroup};
use handsel_domain::deposit::{Balances, Means, Movement, MovementKind};
use handsel_domain::ids::HireId;
use handsel_domain::money::Money;
use handsel_domain::tariff::Tax;
use handsel_domain::time::{Instant, Zone};
use serde::Serialize;
use utoipa::ToSchema;

/// Everything the statement says. Amounts are in one currency.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Statement {
    pub hire: HireId,
    pub reference: String,
    pub operator: Operator,
    /// The lead driver's name; empty once erased.
    pub hirer: String,
    pub vehicle: String,
    pub registration: String,
    pub depot: String,
    pub zone: Zone,
    pub agreed_departure: Instant,
    /// As last extended in writing.
    pub agreed_return: Instant,
    #[schema(required = true)]
    pub returned_at: Option<Instant>,
    pub hire_days: u32,
    /// Charged, waived and still open lines, in the comparison's order.
    pub lines: Vec<StatementLine>,
    /// Tax inside what is charged, by treatment.
    pub tax: Vec<TaxGroup>,
    /// What accepted and adjusted lines come to.
    pub charged: Money,
    /// Lines a person still has to decide; the statement is provisional while there are any.
    pub open_lines: u32,
    pub movements: Vec<StatementMovement>,
    pub balances: Balances,
    /// Charged less received and written off.
    pub outstanding: Money,
    /// When the settlement was closed; the statement is provisional until then.
    #[schema(required = true)]
    pub closed_at: Option<Instant>,
}

/// Who hires out.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct Operator {
    pub name: String,
    pub address: String,
    /// Where to write or telephone about the statement.
    pub contact: String,
}

/// One line of the statement.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct StatementLine {
    pub key: String,
    pub title: String,
    pub state: LineState,
    pub amount: Money,
    pub parts: Vec<Part>,
    /// The formula with its numbers, in words.
    pub because: Vec<String>,
    pub tax: Tax,
    /// The reason a person gave with the decision.
    #[schema(required = true)]
    pub reason: Option<String>,
}

/// One movement of the deposit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct StatementMovement {
    pub at: Instant,
    pub kind: MovementKind,
    pub means: Means,
    pub amount: Money,
    #[schema(required = true)]
    pub reference: Option<String>,
}

impl StatementLine {
    /// A comparison's line, as the hirer gets to see it.
    #[must_use]
    pub fn of(line: &Line) -> Self {
        Self {
            key: line.key.clone(),
            title: line.title.clone(),
            state: line.state,
            amount: line.amount,
            parts: line.parts.clone(),
            because: line.because.clone(),
            tax: line.tax,
            reason: line.decision.as_ref().and_then(|d| d.reason.clone()),
        }
    }

    /// The lines of a comparison that belong on a statement: all but those at zero for lack of a baseline, which
    /// were never proposed.
    #[must_use]
    pub fn all(comparison: &Comparison) -> Vec<Self> {
        comparison.lines.iter().filter(|l| l.state != LineState::NoBaseline).map(Self::of).collect()
    }
}

impl From<&Movement> for StatementMovement {
    fn from(movement: &Movement) -> Self {
        Self {
            at: movement.at,
            kind: movement.kind,
            means: movement.means,
            amount: movement.amount,
            reference: movement.reference.clone(),
        }
    }
}
