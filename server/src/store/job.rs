//! The queue of jobs. Of two workers, also of two servers, one gets a job.

use super::Tx;
use super::convert::{from_word, small, word};
use super::entity::job::{Column, Entity, Model};
use super::error::{StoreError, Stored};
use super::rows::whole;
use crate::jobs::{Due, Job, Kind, Settled, Stage, Taken};
use chrono::{DateTime, Utc};
use handsel_domain::time::Instant;
use sea_orm::sea_query::{Expr, LockBehavior, LockType, OnConflict};
use sea_orm::{ColumnTrait, Condition, EntityTrait, QueryFilter, QueryOrder, QuerySelect};
use std::collections::BTreeMap;
use uuid::Uuid;

fn is(stage: Stage) -> Stored<Condition> {
    Ok(Condition::all().add(Column::State.eq(word("stage of a job", &stage)?)))
}

fn due(kinds: &[Kind], now: Instant) -> Stored<Condition> {
    let kinds = kinds.iter().map(|kind| word("kind of job", kind)).collect::<Stored<Vec<_>>>()?;
    let ready = Condition::any()
        .add(is(Stage::Waiting)?.add(Column::NextAt.lte(now.utc())))
        .add(is(Stage::Running)?.add(Column::LeaseUntil.lt(now.utc())));
    Ok(Condition::all().add(Column::Kind.is_in(kinds)).add(ready))
}

/// Makes something due, unless it is or was already.
pub async fn add(tx: &Tx, kind: Kind, subject: Uuid, now: Instant) -> Stored<()> {
    let row = Model {
        kind: word("kind of job", &kind)?,
        subject,
        state: word("stage of a job", &Stage::Waiting)?,
        attempts: 0,
        next_at: now.utc(),
        lease_until: None,
        reason: None,
    };
    let known = OnConflict::columns([Column::Kind, Column::Subject]).do_nothing().to_owned();
    Entity::insert(whole(row)).on_conflict(known).exec_without_returning(tx.conn()).await?;
    Ok(())
}

/// Whether anything of these kinds is due. Only reads: an idle worker asks this often.
pub async fn any_due(tx: &Tx, kinds: &[Kind], now: Instant) -> Stored<bool> {
    Ok(Entity::find().filter(due(kinds, now)?).one(tx.conn()).await?.is_some())
}

/// Takes the job of these kinds that has been due longest, passing over those that others are taking.
pub async fn take(tx: &Tx, kinds: &[Kind], now: Instant) -> Stored<Option<Taken>> {
    let row = Entity::find()
        .filter(due(kinds, now)?)
        .order_by_asc(Column::NextAt)
        .order_by_asc(Column::Subject)
        .limit(1)
        .lock_with_behavior(LockType::Update, LockBehavior::SkipLocked)
        .one(tx.conn())
        .await?;
    let Some(row) = row else { return Ok(None) };
    let job = Job {
        kind: from_word("kind of job", &row.kind)?,
        subject: row.subject,
        attempts: small("attempts at a job", row.attempts)?,
    };
    let taken = Due(job).take(now);
    Entity::update_many()
        .col_expr(Column::State, Expr::value(word("stage of a job", &Stage::Running)?))
        .col_expr(Column::Attempts, Expr::value(i64::from(taken.job.attempts)))
        .col_expr(Column::LeaseUntil, Expr::value(taken.lease_until.utc()))
        .filter(Column::Kind.eq(row.kind))
        .filter(Column::Subject.eq(row.subject))
        .exec(tx.conn())
        .await?;
    Ok(Some(taken))
}

/// The very attempt that was taken, while nobody else has taken it over.
fn held(taken: Taken) -> Stored<Condition> {
    Ok(is(Stage::Running)?
        .add(Column::Kind.eq(word("kind of job", &taken.job.kind)?))
        .add(Column::Subject.eq(taken.job.subject))
        .add(Column::Attempts.eq(i64::from(taken.job.attempts))))
}

/// Keeps a job for another while.
pub async fn extend(tx: &Tx, taken: Taken) -> Stored<()> {
    Entity::update_many()
        .col_expr(Column::LeaseUntil, Expr::value(taken.lease_until.utc()))
        .filter(held(taken)?)
        .exec(tx.conn())
        .await?;
    Ok(())
}

/// Ends an attempt. False: somebody else has taken the job over, or its subject is gone.
pub async fn settle(tx: &Tx, taken: Taken, settled: &Settled) -> Stored<bool> {
    let ended =
        Entity::update_many().filter(held(taken)?).col_expr(Column::LeaseUntil, Expr::value(None::<DateTime<Utc>>));
    let ended = match settled {
        Settled::Done => ended
            .col_expr(Column::State, Expr::value(word("stage of a job", &Stage::Done)?))
            .col_expr(Column::Reason, Expr::value(None::<String>)),
        Settled::Failed { reason } => ended
            .col_expr(Column::State, Expr::value(word("stage of a job", &Stage::Failed)?))
            .col_expr(Column::Reason, Expr::value(reason.as_str())),
        Settled::Waiting { next_at, attempts } => ended
            .col_expr(Column::State, Expr::value(word("stage of a job", &Stage::Waiting)?))
            .col_expr(Column::NextAt, Expr::value(next_at.utc()))
            .col_expr(Column::Attempts, Expr::value(i64::from(*attempts))),
    };
    Ok(ended.exec(tx.conn()).await?.rows_affected == 1)
}

/// Takes away everything there is to do about something.
pub async fn remove(tx: &Tx, subject: Uuid) -> Stored<()> {
    Entity::delete_many().filter(Column::Subject.eq(subject)).exec(tx.conn()).await?;
    Ok(())
}

/// Where the jobs of some subjects stand.
pub async fn stages(tx: &Tx, kind: Kind, subjects: Vec<Uuid>) -> Stored<BTreeMap<Uuid, Stage>> {
    let rows = Entity::find()
        .filter(Column::Kind.eq(word("kind of job", &kind)?))
        .filter(Column::Subject.is_in(subjects))
        .all(tx.conn())
        .await?;
    rows.into_iter().map(|row| Ok((row.subject, from_word("stage of a job", &row.state)?))).collect()
}

/// How many jobs of each kind stand where; also where there are none.
pub async fn counts(tx: &Tx) -> Stored<Vec<(Kind, Stage, u64)>> {
    let rows: Vec<(String, String, i64)> = Entity::find()
        .select_only()
        .column(Column::Kind)
        .column(Column::State)
        .column_as(Column::Subject.count(), "jobs")
        .group_by(Column::Kind)
        .group_by(Column::State)
        .into_tuple()
        .all(tx.conn())
        .await?;
    let mut found = BTreeMap::new();
    for (kind, stage, count) in rows {
        let count = u64::try_from(count).map_err(|e| StoreError::Damaged(format!("a count of jobs: {e}")))?;
        found.insert((from_word("kind of job", &kind)?, from_word("stage of a job", &stage)?), count);
    }
    let each = Kind::ALL.into_iter().flat_map(|kind| Stage::ALL.map(|stage| (kind, stage)));
    Ok(each.map(|key| (key.0, key.1, found.get(&key).copied().unwrap_or_default())).collect())
}
