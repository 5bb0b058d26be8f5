//! One statement and the entry that is being read, filled value by value.

use super::currency_of;
use crate::amount::unsigned;
use crate::cut;
use crate::entry::Entry;
use crate::error::Wrong;
use chrono::NaiveDate;
use handsel_domain::money::Money;

/// Credit or debit (`CdtDbtInd`).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Credit,
    Debit,
}

impl Side {
    fn read(text: &str) -> Result<Self, Wrong> {
        match text {
            "CRDT" => Ok(Self::Credit),
            "DBIT" => Ok(Self::Debit),
            other => {
                Err(Wrong::Value { of: "CdtDbtInd", value: cut(other), advice: "it must be CRDT or DBIT".to_owned() })
            }
        }
    }

    fn signed(self, money: Money) -> Money {
        match self {
            Self::Credit => money,
            Self::Debit => Money::new(money.minor.saturating_neg(), money.currency),
        }
    }
}

#[derive(Debug, Default)]
struct Balance {
    code: String,
    amount: Option<Money>,
    side: Option<Side>,
}

#[derive(Debug, Default)]
struct Detail {
    amount: Option<Money>,
    side: Option<Side>,
    bank_reference: Option<String>,
    references: Vec<String>,
    debtor: Option<String>,
    creditor: Option<String>,
    text: Vec<String>,
}

#[derive(Debug, Default)]
struct Draft {
    amount: Option<Money>,
    side: Option<Side>,
    reversal: bool,
    status: Option<String>,
    booked_on: Option<NaiveDate>,
    value_on: Option<NaiveDate>,
    bank_reference: Option<String>,
    additional: Option<String>,
    details: Vec<Detail>,
}

/// What came of one `Ntry`.
pub(super) enum Drafts {
    /// Not booked yet.
    Pending,
    Booked(Vec<Entry>),
}

#[derive(Debug, Default)]
pub(super) struct Statement {
    iban: Option<String>,
    other: Option<String>,
    balance: Option<Balance>,
    opening: Option<Money>,
    closing: Option<Money>,
    draft: Option<Draft>,
    sum: Option<Money>,
}

impl Statement {
    pub(super) const fn in_entry(&self) -> bool {
        self.draft.is_some()
    }

    pub(super) fn account(&self) -> Result<String, Wrong> {
        self.iban.clone().or_else(|| self.other.clone()).ok_or(Wrong::Missing("the statement's account (Acct/Id)"))
    }

    /// An element begins.
    pub(super) fn open(&mut self, place: &[&str]) {
        match place {
            ["Bal"] => self.balance = Some(Balance::default()),
            ["Ntry"] => self.draft = Some(Draft::default()),
            ["Ntry", "NtryDtls", "TxDtls"] => {
                if let Some(draft) = &mut self.draft {
                    draft.details.push(Detail::default());
                }
            }
            _ => {}
        }
    }

    /// An element without others ends, with its text.
    pub(super) fn leaf(&mut self, place: &[&str], value: &str, currency: Option<&str>) -> Result<(), Wrong> {
        match place {
            ["Acct", "Id", "IBAN"] => self.iban = Some(cut(value)),
            ["Acct", "Id", "Othr", "Id"] => self.other = Some(cut(value)),
            ["Bal", rest @ ..] => {
                if let Some(balance) = &mut self.balance {
                    match rest {
                        ["Tp", "CdOrPrtry", "Cd"] => balance.code = cut(value),
                        ["Amt"] => balance.amount = Some(amount(value, currency)?),
                        ["CdtDbtInd"] => balance.side = Some(Side::read(value)?),
                        _ => {}
                    }
                }
            }
            ["Ntry", "NtryDtls", "TxDtls", rest @ ..] => {
                if let Some(detail) = self.draft.as_mut().and_then(|d| d.details.last_mut()) {
                    detail.leaf(rest, value, currency)?;
                }
            }
            ["Ntry", rest @ ..] => {
                if let Some(draft) = &mut self.draft {
                    draft.leaf(rest, value, currency)?;
                }
            }
            _ => {}
        }
        Ok(())
    }

    /// `Bal` ends: the opening and the closing booked balance are kept.
    pub(super) fn balance(&mut self) -> Result<(), Wrong> {
        let Some(balance) = self.balance.take() else { return Ok(()) };
        let kept = match balance.code.as_str() {
            // Opening booked, or what the statement before closed with.
            "OPBD" | "PRCD" => &mut self.opening,
            "CLBD" => &mut self.closing,
            _ => return Ok(()),
        };
        let amount = balance.amount.ok_or(Wrong::Missing("a balance's amount (Bal/Amt)"))?;
        let side = balance.side.ok_or(Wrong::Missing("a balance's CdtDbtInd"))?;
        // Opening balances of both kinds are the same figure: the first holds.
        kept.get_or_insert(side.signed(amount));
        Ok(())
    }

    /// `Ntry` ends.
    pub(super) fn entry(&mut self) -> Result<Drafts, Wrong> {
        let account = self.account()?;
        let Some(draft) = self.draft.as_ref() else { return Ok(Drafts::Booked(Vec::new())) };
        let status = draft.status.as_deref().ok_or(Wrong::Missing("the entry's status (Sts)"))?;
        match status {
            "BOOK" => {}
            "PDNG" | "INFO" | "FUTR" => {
                self.draft = None;
                return Ok(Drafts::Pending);
            }
            other => {
                return Err(Wrong::Value {
                    of: "the entry's status",
                    value: cut(other),
                    advice: "it must be BOOK, PDNG, INFO or FUTR".to_owned(),
                });
            }
        }
        let entries = draft.entries(&account)?;
        for entry in &entries {
            let sum = self.sum.unwrap_or_else(|| Money::zero(entry.amount.currency));
            self.sum = Some(sum.plus(entry.amount).map_err(|e| Wrong::Value {
                of: "the entry's amount",
                value: entry.amount.to_string(),
                advice: e.to_string(),
            })?);
        }
        self.draft = None;
        Ok(Drafts::Booked(entries))
    }

    /// Opening balance and entries come to the closing balance, where both are told.
    pub(super) fn balanced(&self) -> Result<(), Wrong> {
        let (Some(opening), Some(closing)) = (self.opening, self.closing) else { return Ok(()) };
        let entries = self.sum.unwrap_or_else(|| Money::zero(opening.currency));
        if opening.plus(entries).ok() == Some(closing) {
            return Ok(());
        }
        Err(Wrong::Unbalanced {
            opening: opening.to_string(),
            entries: entries.to_string(),
            closing: closing.to_string(),
        })
    }
}

impl Draft {
    fn leaf(&mut self, place: &[&str], value: &str, currency: Option<&str>) -> Result<(), Wrong> {
        match place {
            ["Amt"] => self.amount = Some(amount(value, currency)?),
            ["CdtDbtInd"] => self.side = Some(Side::read(value)?),
            ["RvslInd"] => self.reversal = matches!(value, "true" | "1"),
            // A code by itself up to version 06, in an element of its own from 07 on.
            ["Sts"] if value.is_empty() => {}
            ["Sts"] | ["Sts", "Cd"] => self.status = Some(cut(value)),
            ["BookgDt", "Dt" | "DtTm"] => self.booked_on = Some(date("the booking date", value)?),
            ["ValDt", "Dt" | "DtTm"] => self.value_on = Some(date("the value date", value)?),
            ["AcctSvcrRef"] => self.bank_reference = given(value),
            ["AddtlNtryInf"] => self.additional = given(value),
            _ => {}
        }
        Ok(())
    }

    /// Itself, or each of its payments where their amounts are told and come to its own.
    fn entries(&self, account: &str) -> Result<Vec<Entry>, Wrong> {
        let amount = self.amount.ok_or(Wrong::Missing("the entry's amount (Amt)"))?;
        let side = self.side.ok_or(Wrong::Missing("the entry's CdtDbtInd"))?;
        let booked_on = self.booked_on.or(self.value_on).ok_or(Wrong::Missing("the entry's booking date (BookgDt)"))?;
        let whole = side.signed(amount);
        let of = |amount: Money, bank_reference: Option<String>, details: &[Detail]| {
            let party =
                details.iter().find_map(|d| if amount.is_negative() { d.creditor.clone() } else { d.debtor.clone() });
            let text = details.iter().flat_map(|d| &d.text).map(String::as_str);
            let text: Vec<&str> = text.chain(self.additional.as_deref()).collect();
            Entry {
                key: String::new(),
                account: account.to_owned(),
                amount,
                reversal: self.reversal,
                booked_on,
                value_on: self.value_on,
                bank_reference,
                references: details.iter().flat_map(|d| d.references.clone()).collect(),
                party,
                text: cut(&text.join(" ")),
            }
        };
        let parts: Option<Vec<Money>> =
            self.details.iter().map(|d| d.amount.map(|a| d.side.unwrap_or(side).signed(a))).collect();
        let split = parts.filter(|parts| {
            parts.len() > 1 && Money::sum(whole.currency, parts.iter().copied()).is_ok_and(|sum| sum == whole)
        });
        let Some(parts) = split else {
            let own = self.bank_reference.clone();
            let single = || self.details.iter().find_map(|d| d.bank_reference.clone());
            return Ok(vec![of(whole, own.or_else(single), &self.details)]);
        };
        let parts = (1..).zip(parts).zip(&self.details).map(|((number, part), detail)| {
            let own = detail.bank_reference.clone().filter(|r| self.bank_reference.as_ref() != Some(r));
            let numbered = || self.bank_reference.as_ref().map(|r| format!("{r}/{number}"));
            of(part, own.or_else(numbered), std::slice::from_ref(detail))
        });
        Ok(parts.collect())
    }
}

impl Detail {
    fn leaf(&mut self, place: &[&str], value: &str, currency: Option<&str>) -> Result<(), Wrong> {
        match place {
            // The transaction's own amount stands here from version 04 on, and in details before.
            ["Amt"] => self.amount = Some(amount(value, currency)?),
            ["AmtDtls", "TxAmt", "Amt"] if self.amount.is_none() => self.amount = Some(amount(value, currency)?),
            ["CdtDbtInd"] => self.side = Some(Side::read(value)?),
            ["Refs", "AcctSvcrRef"] => self.bank_reference = given(value),
            ["Refs", "EndToEndId" | "InstrId" | "MsgId" | "PmtInfId" | "TxId"]
            | ["RmtInf", "Strd", "CdtrRefInf", "Ref"] => {
                // What the standard has senders write where they give none.
                self.references.extend(given(value).filter(|r| r != "NOTPROVIDED"));
            }
            ["RltdPties", "Dbtr", "Nm"] | ["RltdPties", "Dbtr", "Pty", "Nm"] => self.debtor = given(value),
            ["RltdPties", "Cdtr", "Nm"] | ["RltdPties", "Cdtr", "Pty", "Nm"] => self.creditor = given(value),
            ["RmtInf", "Ustrd"] | ["AddtlTxInf"] => self.text.extend(given(value)),
            _ => {}
        }
        Ok(())
    }
}

fn given(value: &str) -> Option<String> {
    Some(cut(value)).filter(|v| !v.is_empty())
}

fn amount(value: &str, currency: Option<&str>) -> Result<Money, Wrong> {
    let currency = currency_of(currency)?;
    unsigned(value, currency, '.').map_err(|advice| Wrong::Value {
        of: "an amount",
        value: cut(value),
        advice: advice.to_owned(),
    })
}

/// A date, or the date of a moment as the bank's own clock has it.
fn date(of: &'static str, value: &str) -> Result<NaiveDate, Wrong> {
    let day = value.get(..10).filter(|_| value.len() == 10 || value.as_bytes().get(10) == Some(&b'T'));
    day.and_then(|d| NaiveDate::parse_from_str(d, "%Y-%m-%d").ok()).ok_or_else(|| Wrong::Value {
        of,
        value: cut(value),
        advice: "it must be written as 2026-03-28".to_owned(),
    })
}
