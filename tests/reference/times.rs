//! Source: Python 3.11 zoneinfo with tzdata 2026.6 (IANA 2026f), rows computed outside the project.

use crate::table;
use handsel_domain::time::{Instant, Zone, hire_days, lateness};

#[test]
fn hire_days_are_days_of_the_wall_clock() {
    for row in table("time_hire_examples.csv") {
        let zone: Zone = row["zone"].parse().unwrap();
        let out: Instant = row["out_utc"].parse().unwrap();
        let back: Instant = row["back_utc"].parse().unwrap();
        let published: u32 = row["ceil_wall_24h_days"].parse().unwrap();
        // At least one day (rule 3); the table has rows of zero.
        assert_eq!(hire_days(zone, out, back), published.max(1), "{} {}", row["zone"], row["out_wall"]);
    }
}

#[test]
fn lateness_is_real_elapsed_time() {
    for row in table("time_hire_examples.csv") {
        let out: Instant = row["out_utc"].parse().unwrap();
        let back: Instant = row["back_utc"].parse().unwrap();
        let hours: i64 = row["elapsed_h"].parse().unwrap();
        assert_eq!(back.seconds_since(out), hours * 3600);
        let late = lateness(out, back, 0);
        let begun = late.map_or(0, |l| i64::from(l.days) * 24 + i64::from(l.hours));
        assert_eq!(begun, hours, "{}", row["out_wall"]);
    }
}

#[test]
fn clocks_change_where_the_time_zone_database_says() {
    for row in table("time_dst_transitions.csv") {
        let zone: Zone = row["zone"].parse().unwrap();
        let at: Instant = row["transition_utc"].parse().unwrap();
        let before = zone.wall(at.plus_seconds(-1));
        let after = zone.wall(at);
        let shown = |t: chrono::NaiveDateTime| t.format("%Y-%m-%dT%H:%M:%S").to_string();
        assert_eq!(shown(before + chrono::TimeDelta::seconds(1)), row["wall_before"]);
        assert_eq!(shown(after), row["wall_after"]);
    }
}

#[test]
fn wall_times_shown_twice_or_skipped_are_read_as_documented() {
    let zone: Zone = "Europe/London".parse().unwrap();
    let rows = table("time_hire_examples.csv");
    for row in rows.iter().filter(|r| r["zone"] == "Europe/London" && r["out_fold"] == "0") {
        let wall = chrono::NaiveDateTime::parse_from_str(&row["out_wall"], "%Y-%m-%dT%H:%M:%S").unwrap();
        // zoneinfo with fold 0: the earlier of two, and the offset before a gap.
        assert_eq!(zone.instant(wall).to_string(), row["out_utc"], "{}", row["out_wall"]);
    }
}
