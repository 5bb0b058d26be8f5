use crate::store::record::{BankEntry, BankMatch};
use handsel_domain::deposit::{Movement, MovementKind};
use handsel_domain::ids::HireId;
use serde::Serialize;
use utoipa::ToSchema;

/// A movement that an entry could be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Candidate {
    pub movement: Movement,
    pub hire: HireId,
    pub reference: String,
    pub hirer: String,
    /// The amounts are the same.
    pub same_amount: bool,
}

/// A hire whose reference an entry names, without a movement for it yet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct NamedHire {
    pub hire: HireId,
    pub reference: String,
    pub hirer: String,
    /// What a new movement would most likely be.
    pub kind: MovementKind,
}

/// An entry of the bank's with what it is, or could be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct BankEntryView {
    pub entry: BankEntry,
    #[schema(required = true)]
    pub matched: Option<BankMatch>,
    /// Of an open one: movements it could be, the best first.
    pub candidates: Vec<Candidate>,
    pub named: Vec<NamedHire>,
}
