//! How the office is run, read from the environment.

use crate::app::House;
use crate::outside::Addresses;

/// The house's days, and who is reached outside.
pub(crate) type Office = (House, Addresses);

/// # Errors
/// Every variable that cannot be right, with what to set it to.
pub(crate) fn read(set: &impl Fn(&str) -> Option<String>) -> Result<Office, Vec<String>> {
    let usual = House::default();
    let mut faults = Vec::new();
    let mut days = |name: &str, usual: u32, most: u32| match set(name).map(|text| (text.parse::<u32>(), text)) {
        None => usual,
        Some((Ok(number), _)) if (1..=most).contains(&number) => number,
        Some((_, text)) => {
            faults
                .push(format!("{name} `{text}` cannot be right: leave it out or use a whole number from 1 to {most}"));
            usual
        }
    };
    let mut house = House {
        promise_days: days("HANDSEL_PROMISE_DAYS", usual.promise_days, 365),
        dispute_days: days("HANDSEL_DISPUTE_DAYS", usual.dispute_days, 365),
        link_days: days("HANDSEL_LINK_DAYS", usual.link_days, 730),
        hold_warning_days: days("HANDSEL_HOLD_WARNING_DAYS", usual.hold_warning_days, 30),
        keep_months: days("HANDSEL_KEEP_MONTHS", usual.keep_months, 240),
        public_url: usual.public_url,
    };
    let is_web = |url: &str| url.starts_with("https://") || url.starts_with("http://");
    if let Some(url) = set("HANDSEL_PUBLIC_URL") {
        if !is_web(&url) {
            faults.push(format!("HANDSEL_PUBLIC_URL `{url}` must begin with https:// or http://"));
        }
        house.public_url = url.trim_end_matches('/').to_owned();
    }
    let smtp = match (set("HANDSEL_SMTP_URL"), set("HANDSEL_MAIL_FROM")) {
        (Some(url), Some(from)) => {
            if !(url.starts_with("smtp://") || url.starts_with("smtps://")) {
                faults.push("HANDSEL_SMTP_URL must begin with smtps:// or smtp://".to_owned());
            }
            Some((url, from))
        }
        (None, None) => None,
        _ => {
            faults.push("HANDSEL_SMTP_URL and HANDSEL_MAIL_FROM go together: set both or neither".to_owned());
            None
        }
    };
    let webhook = set("HANDSEL_WEBHOOK_URL");
    if webhook.as_deref().is_some_and(|url| !is_web(url)) {
        faults.push("HANDSEL_WEBHOOK_URL must begin with https:// or http://".to_owned());
    }
    if faults.is_empty() { Ok((house, Addresses { smtp, webhook })) } else { Err(faults) }
}
