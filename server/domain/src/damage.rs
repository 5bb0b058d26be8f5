//! What one damage costs by itself (rule 5): panel group x kind x size band, fair wear, growth by the step.

use crate::money::{Money, MoneyError};
use crate::tariff::{DamageRule, Price, SizeBand};

/// What the tariff says of one damage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cost {
    /// At or under the size that counts as wear.
    FairWear {
        up_to_mm: u32,
    },
    Flat(Money),
    /// Open until somebody has estimated it; also where the tariff has no price for it.
    Estimate,
}

impl DamageRule {
    /// The band a size falls in.
    #[must_use]
    pub fn band(&self, size_mm: u32) -> Option<&SizeBand> {
        self.size_bands.iter().find(|b| b.up_to_mm.is_none_or(|most| size_mm <= most))
    }

    /// What a damage of this kind and size costs on a panel of this group.
    #[must_use]
    pub fn cost(&self, group: &str, kind: &str, size_mm: u32) -> Cost {
        if let Some(wear) = self.fair_wear.iter().find(|f| f.kind == kind)
            && size_mm <= wear.up_to_mm
        {
            return Cost::FairWear { up_to_mm: wear.up_to_mm };
        }
        let band = self.band(size_mm).map(|b| b.key.as_str());
        let price = self.prices.iter().find(|p| p.group == group && p.kind == kind && Some(p.band.as_str()) == band);
        match price.map(|p| p.price) {
            Some(Price::Flat(money)) => Cost::Flat(money),
            Some(Price::Estimate) | None => Cost::Estimate,
        }
    }

    /// What a registered damage that has grown costs: the step from its old size's price to its new one's, never
    /// below zero. None when it has not grown or stays in its band.
    ///
    /// # Errors
    /// Two currencies, or beyond the limit.
    pub fn growth(&self, group: &str, kind: &str, old_mm: u32, new_mm: u32) -> Result<Option<Cost>, MoneyError> {
        let before = self.cost(group, kind, old_mm);
        let now = self.cost(group, kind, new_mm);
        let same_band = self.band(old_mm).map(|b| &b.key) == self.band(new_mm).map(|b| &b.key);
        let was_wear = matches!(before, Cost::FairWear { .. });
        if new_mm <= old_mm || (same_band && !was_wear) {
            return Ok(None);
        }
        match (before, now) {
            (_, Cost::FairWear { .. }) => Ok(None),
            (Cost::FairWear { .. }, cost) => Ok(Some(cost)),
            (Cost::Flat(old), Cost::Flat(new)) => {
                let step = new.minus(old)?;
                Ok((!step.is_zero() && !step.is_negative()).then_some(Cost::Flat(step)))
            }
            (Cost::Estimate, _) | (_, Cost::Estimate) => Ok(Some(Cost::Estimate)),
        }
    }

    /// The most that several damages on one panel of a group cost.
    #[must_use]
    pub fn refinish_price(&self, group: &str) -> Option<Money> {
        self.refinish.iter().find(|r| r.group == group).map(|r| r.price)
    }
}
