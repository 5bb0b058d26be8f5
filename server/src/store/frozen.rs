//! Templates that inspections use. They never change again, so each is read from its row once, not at every answer of
//! every walk-round.

use handsel_domain::ids::TemplateId;
use handsel_domain::template::Template;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Kept at most; a fleet has a few layouts and rarely more than two versions of each in use.
const MOST: usize = 32;

#[derive(Debug, Default)]
pub(super) struct Frozen(Mutex<BTreeMap<TemplateId, Arc<Template>>>);

impl Frozen {
    pub(super) fn get(&self, id: TemplateId) -> Option<Arc<Template>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).get(&id).cloned()
    }

    pub(super) fn keep(&self, template: &Arc<Template>) {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() >= MOST {
            kept.clear();
        }
        kept.insert(template.id, Arc::clone(template));
    }
}
