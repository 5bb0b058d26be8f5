//! Instants, zones, hire days and lateness (rule 3).

use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveDateTime, TimeDelta, Utc};
use chrono_tz::Tz;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;
use utoipa::{PartialSchema, ToSchema};

/// A moment in UTC, to the microsecond. Written as RFC 3339 with `Z`; read with any offset, never without one.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Instant(DateTime<Utc>);

impl Instant {
    /// From a UTC date-time; cut to the microsecond, which is what databases keep.
    #[must_use]
    pub fn from_utc(at: DateTime<Utc>) -> Self {
        Self(DateTime::from_timestamp_micros(at.timestamp_micros()).unwrap_or(at))
    }

    #[must_use]
    pub const fn utc(self) -> DateTime<Utc> {
        self.0
    }

    /// Whole seconds from `earlier` to this; negative when this is earlier.
    #[must_use]
    pub fn seconds_since(self, earlier: Self) -> i64 {
        (self.0 - earlier.0).num_seconds()
    }

    /// This moment moved by seconds.
    #[must_use]
    pub fn plus_seconds(self, seconds: i64) -> Self {
        TimeDelta::try_seconds(seconds).and_then(|d| self.0.checked_add_signed(d)).map_or(self, Self)
    }
}

impl fmt::Display for Instant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.to_rfc3339_opts(chrono::SecondsFormat::AutoSi, true))
    }
}

impl fmt::Debug for Instant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl FromStr for Instant {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        DateTime::parse_from_rfc3339(text).map(|t| Self::from_utc(t.with_timezone(&Utc))).map_err(|_| {
            format!("`{text}` is not an RFC 3339 instant with an offset: write it like 2026-03-28T10:00:00Z")
        })
    }
}

impl Serialize for Instant {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Instant {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(de::Error::custom)
    }
}

impl PartialSchema for Instant {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        use utoipa::openapi::schema::{KnownFormat, SchemaFormat, Type};
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(Type::String)
            .format(Some(SchemaFormat::KnownFormat(KnownFormat::DateTime)))
            .description(Some("RFC 3339 instant with an offset; the server writes UTC."))
            .into()
    }
}

impl ToSchema for Instant {
    fn name() -> std::borrow::Cow<'static, str> {
        "Instant".into()
    }
}

/// A day of the calendar, without a zone.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date(pub NaiveDate);

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0.format("%Y-%m-%d"))
    }
}

impl fmt::Debug for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl FromStr for Date {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        NaiveDate::parse_from_str(text, "%Y-%m-%d")
            .map(Self)
            .map_err(|_| format!("`{text}` is not a date: write it like 2026-03-28"))
    }
}

impl Serialize for Date {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Date {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(de::Error::custom)
    }
}

impl PartialSchema for Date {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        use utoipa::openapi::schema::{KnownFormat, SchemaFormat, Type};
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(Type::String)
            .format(Some(SchemaFormat::KnownFormat(KnownFormat::Date)))
            .into()
    }
}

impl ToSchema for Date {
    fn name() -> std::borrow::Cow<'static, str> {
        "Date".into()
    }
}

/// Whole months from `from` to `to`, as birthdays count; zero when `to` is earlier.
#[must_use]
pub fn whole_months(from: Date, to: Date) -> u32 {
    let months = i64::from(to.0.year() - from.0.year()) * 12 + i64::from(to.0.month()) - i64::from(from.0.month());
    let full = if to.0.day() < from.0.day() { months - 1 } else { months };
    u32::try_from(full).unwrap_or(0)
}

/// An IANA time zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Zone(Tz);

impl Zone {
    /// The wall clock at a moment.
    #[must_use]
    pub fn wall(self, at: Instant) -> NaiveDateTime {
        at.0.with_timezone(&self.0).naive_local()
    }

    /// The calendar day at a moment.
    #[must_use]
    pub fn date(self, at: Instant) -> Date {
        Date(self.wall(at).date())
    }

    /// The moment of a wall-clock time: the earlier one where the clock shows it twice; where it skips it, read
    /// with the offset before the gap.
    #[must_use]
    pub fn instant(self, wall: NaiveDateTime) -> Instant {
        use chrono::TimeZone;
        match self.0.from_local_datetime(&wall) {
            chrono::LocalResult::Single(t) | chrono::LocalResult::Ambiguous(t, _) => {
                Instant::from_utc(t.with_timezone(&Utc))
            }
            chrono::LocalResult::None => {
                let day_before = wall - TimeDelta::days(1);
                let earlier = self.0.from_local_datetime(&day_before).earliest();
                earlier.map_or(Instant::from_utc(wall.and_utc()), |t| {
                    Instant::from_utc(t.with_timezone(&Utc) + TimeDelta::days(1))
                })
            }
        }
    }

    /// The months (1 to 12) a span touches on this zone's calendar, each once, in order.
    #[must_use]
    pub fn months_touched(self, from: Instant, to: Instant) -> Vec<u8> {
        let end = self.date(to).0;
        let mut day = self.date(from).0.with_day(1).unwrap_or(self.date(from).0);
        let mut months = Vec::new();
        while day <= end && months.len() < 12 {
            months.push(u8::try_from(day.month()).unwrap_or(1));
            let Some(next) = day.checked_add_days(Days::new(32)).and_then(|d| d.with_day(1)) else { break };
            day = next;
        }
        months
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0.name())
    }
}

impl FromStr for Zone {
    type Err = String;
    fn from_str(name: &str) -> Result<Self, String> {
        Tz::from_str(name)
            .map(Self)
            .map_err(|_| format!("`{name}` is not an IANA time zone: write one like Europe/London"))
    }
}

impl Serialize for Zone {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Zone {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(de::Error::custom)
    }
}

impl PartialSchema for Zone {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .description(Some("IANA time zone name."))
            .examples([serde_json::json!("Europe/London")])
            .into()
    }
}

impl ToSchema for Zone {
    fn name() -> std::borrow::Cow<'static, str> {
        "Zone".into()
    }
}

/// Hire days: 24-hour days of the wall clock, a part counting whole, at least one.
#[must_use]
pub fn hire_days(zone: Zone, departure: Instant, agreed_return: Instant) -> u32 {
    let seconds = (zone.wall(agreed_return) - zone.wall(departure)).num_seconds().max(0);
    let days = (seconds + 86_399) / 86_400;
    u32::try_from(days.max(1)).unwrap_or(u32::MAX)
}

/// How late a return was, in parts that are charged differently.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lateness {
    /// Real seconds past the agreed return.
    pub seconds: i64,
    /// Whole 24 elapsed hours.
    pub days: u32,
    /// Begun hours of what is left over.
    pub hours: u32,
}

/// Lateness that counts, or none: within the grace period, inclusive, nothing does; past it, all of it.
#[must_use]
pub fn lateness(agreed_return: Instant, returned: Instant, grace_minutes: u32) -> Option<Lateness> {
    let seconds = returned.seconds_since(agreed_return);
    if seconds <= i64::from(grace_minutes) * 60 || seconds <= 0 {
        return None;
    }
    let rest = seconds % 86_400;
    Some(Lateness {
        seconds,
        days: u32::try_from(seconds / 86_400).unwrap_or(u32::MAX),
        hours: u32::try_from((rest + 3_599) / 3_600).unwrap_or(24),
    })
}
