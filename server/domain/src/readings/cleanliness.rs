//! Cleanliness, in named grades of the tariff (rule 4).

use crate::tariff::CleanlinessRule;

/// Steps from departure's grade down to return's; zero or less when as clean or cleaner.
///
/// # Errors
/// The grade the tariff does not name.
pub fn steps<'a>(rule: &CleanlinessRule, out: &'a str, back: &'a str) -> Result<i64, &'a str> {
    let place = |grade: &'a str| {
        let found = rule.grades.iter().position(|g| g.key == grade);
        found.and_then(|p| i64::try_from(p).ok()).ok_or(grade)
    };
    Ok(place(back)? - place(out)?)
}
