//! A walk-round with what it is measured by.

use super::hire_rules::wrong_state;
use super::{Caller, Code, Refusal, walkround};
use crate::store::record::{Hire, InspectionHead};
use crate::store::{Scope, StoreError, Tx, hire, inspection, mark, photo, repeat, template, walk};
use handsel_domain::hire::HireStatus;
use handsel_domain::ids::{InspectionId, PhotoId};
use handsel_domain::inspection::Inspection;
use handsel_domain::template::Template;

#[derive(Clone, Debug)]
pub(super) struct Walk {
    pub(super) head: InspectionHead,
    pub(super) hire: Hire,
    /// Only what is asked of this vehicle.
    pub(super) asked: Template,
    /// What of the fleet whoever is on it reaches.
    pub(super) scope: Scope,
}

impl Walk {
    /// To look at.
    pub(super) async fn read(tx: &Tx, caller: &Caller, id: InspectionId) -> Result<Self, Refusal> {
        Self::within(tx, caller.scope, id).await
    }

    /// To look at, by somebody who reaches so much of the fleet.
    pub(super) async fn within(tx: &Tx, scope: Scope, id: InspectionId) -> Result<Self, Refusal> {
        let head = inspection::find(tx, scope, id).await?;
        Self::of(tx, scope, head, false).await
    }

    /// To change: nobody else changes it until the transaction ends.
    pub(super) async fn locked(tx: &Tx, caller: &Caller, id: InspectionId) -> Result<Self, Refusal> {
        let head = inspection::lock(tx, caller.scope, id).await?;
        Self::of(tx, caller.scope, head, true).await
    }

    async fn of(tx: &Tx, scope: Scope, head: Option<InspectionHead>, stored: bool) -> Result<Self, Refusal> {
        let head = head.ok_or_else(|| Refusal::not_found("inspection"))?;
        let hire = hire::find(tx, scope, head.hire).await?.ok_or_else(|| Refusal::not_found("hire"))?;
        let template = template::of_inspection(tx, head.template, stored).await?;
        let template =
            template.ok_or_else(|| StoreError::Damaged(format!("inspection {} has no template", head.id)))?;
        let asked = walkround::asked(&template, &head.fitted);
        Ok(Self { head, hire, asked, scope })
    }

    /// Refuses unless it can still be added to.
    pub(super) fn must_be_open(&self) -> Result<(), Refusal> {
        if self.head.signed_at.is_some() {
            return Err(Refusal::new(
                Code::InspectionClosed,
                "The inspection is signed: nothing on it changes any more.",
            ));
        }
        if self.hire.status == HireStatus::Cancelled {
            return Err(wrong_state(self.hire.status, "not cancelled"));
        }
        Ok(())
    }

    /// Keeps a change of what is recorded.
    pub(super) async fn touch(&mut self, tx: &Tx) -> Result<(), Refusal> {
        Ok(inspection::update(tx, &mut self.head).await?)
    }

    pub(super) async fn photo_ids(&self, tx: &Tx) -> Result<Vec<PhotoId>, Refusal> {
        Ok(photo::of_inspection(tx, self.head.id).await?.iter().map(|p| p.id).collect())
    }

    pub(super) async fn recorded(&self, tx: &Tx) -> Result<Inspection, Refusal> {
        recorded(tx, &self.head).await
    }
}

/// Everything recorded on an inspection, as the rules read it.
pub(super) async fn recorded(tx: &Tx, head: &InspectionHead) -> Result<Inspection, Refusal> {
    let photos = photo::of_inspection(tx, head.id).await?;
    let ids: Vec<PhotoId> = photos.iter().map(|p| p.id).collect();
    let mut repeats = repeat::of(tx, &ids).await?;
    Ok(Inspection {
        id: head.id,
        leg: head.leg,
        started_at: head.started_at,
        handed_over_at: head.handed_over_at,
        clocks: head.clocks,
        entries: walk::entries(tx, head.id).await?,
        photos: photos.iter().map(|p| p.evidence(repeats.remove(&p.id).unwrap_or_default())).collect(),
        marks: mark::of_inspection(tx, head.id).await?,
        sightings: walk::sightings(tx, head.id).await?,
        briefings: walk::briefings(tx, head.id).await?,
        signatures: walk::signatures(tx, head.id).await?,
        hirer_absent: head.absence.clone(),
        signed_at: head.signed_at,
    })
}
