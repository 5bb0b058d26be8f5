//! Letters to hirers: short, plain text, in their language. Each says who writes and what to do, and asks for nothing.

use handsel_domain::dispute::DisputeOutcome;
use handsel_domain::money::Money;
use handsel_domain::shown::money;
use handsel_domain::text::Lang;

/// What a letter is about.
#[derive(Clone, Copy, Debug)]
pub enum About<'a> {
    /// The link to their own hire.
    Link { address: &'a str, until: &'a str },
    /// Their dispute has arrived.
    DisputeReceived { title: &'a str, words: &'a str, amount: Money },
    /// Their dispute was answered.
    DisputeAnswered { title: &'a str, outcome: DisputeOutcome, answer: &'a str },
    /// The settlement was closed.
    Settled { charged: Money, dispute_until: &'a str },
}

/// Whom it concerns.
#[derive(Clone, Copy, Debug)]
pub struct Concerning<'a> {
    pub hirer: &'a str,
    pub reference: &'a str,
    pub vehicle: &'a str,
    pub operator: &'a str,
    pub contact: &'a str,
}

/// A subject and a body of plain text.
#[must_use]
pub fn letter(about: About<'_>, of: Concerning<'_>, lang: Lang) -> (String, String) {
    let (subject, middle) = match lang {
        Lang::En => english(about, of),
        Lang::De => german(about, of),
    };
    let (greeting, end) = match lang {
        Lang::En => (format!("Dear {},", of.hirer), "This letter was written by a program. For questions: "),
        Lang::De => (format!("Guten Tag {},", of.hirer), "Diesen Brief hat ein Programm geschrieben. Bei Fragen: "),
    };
    let contact = if of.contact.is_empty() { of.operator } else { of.contact };
    (subject, format!("{greeting}\n\n{middle}\n\n{}\n\n{end}{contact}\n", of.operator))
}

fn english(about: About<'_>, of: Concerning<'_>) -> (String, String) {
    let Concerning { reference, vehicle, .. } = of;
    match about {
        About::Link { address, until } => (
            format!("Your hire {reference}: records and statement"),
            format!(
                "With this link you can read the records of your hire of {vehicle}, see what became of your deposit, and \
                 dispute a charge:\n\n{address}\n\nIt is good until {until}. Whoever has it can read your hire: do not \
                 pass it on."
            ),
        ),
        About::DisputeReceived { title, words, amount } => (
            format!("Your hire {reference}: we have your dispute"),
            format!(
                "You dispute this charge of {}: {title}.\n\nYou wrote:\n\n{words}\n\nNothing more is taken for it \
                 until somebody has looked at it and answered you.",
                money(amount, Lang::En)
            ),
        ),
        About::DisputeAnswered { title, outcome, answer } => (
            format!("Your hire {reference}: your dispute is answered"),
            format!(
                "You disputed this charge: {title}.\n\n{}\n\nThe reason given:\n\n{answer}",
                match outcome {
                    DisputeOutcome::Upheld => "You were right: nothing is charged for it.",
                    DisputeOutcome::PartlyUpheld => "You were right in part: less is charged than before.",
                    DisputeOutcome::Rejected => "The charge stands.",
                    DisputeOutcome::Withdrawn => "It is closed, as you took it back.",
                }
            ),
        ),
        About::Settled { charged, dispute_until } => (
            format!("Your hire {reference}: the deposit is settled"),
            format!(
                "The deposit of your hire of {vehicle} is settled. Charged altogether: {charged}. The statement names \
                 each charge, why it is made, and where the deposit went.\n\nIf something is not right, dispute it with \
                 the link you were sent, until {dispute_until}, or write to us."
            ),
        ),
    }
}

fn german(about: About<'_>, of: Concerning<'_>) -> (String, String) {
    let Concerning { reference, vehicle, .. } = of;
    match about {
        About::Link { address, until } => (
            format!("Ihre Miete {reference}: Protokolle und Abrechnung"),
            format!(
                "Über diesen Link können Sie die Protokolle Ihrer Miete von {vehicle} lesen, sehen, was aus Ihrer \
                 Kaution geworden ist, und einer Position widersprechen:\n\n{address}\n\nEr gilt bis {until}. Wer ihn \
                 hat, kann Ihre Miete lesen: Geben Sie ihn nicht weiter."
            ),
        ),
        About::DisputeReceived { title, words, amount } => (
            format!("Ihre Miete {reference}: Ihr Widerspruch ist da"),
            format!(
                "Sie widersprechen dieser Position über {}: {title}.\n\nSie schrieben:\n\n{words}\n\nDafür wird \
                 nichts weiter eingezogen, bis jemand es angesehen und Ihnen geantwortet hat.",
                money(amount, Lang::De)
            ),
        ),
        About::DisputeAnswered { title, outcome, answer } => (
            format!("Ihre Miete {reference}: Antwort auf Ihren Widerspruch"),
            format!(
                "Sie haben dieser Position widersprochen: {title}.\n\n{}\n\nDie Begründung:\n\n{answer}",
                match outcome {
                    DisputeOutcome::Upheld => "Sie hatten recht: Dafür wird nichts berechnet.",
                    DisputeOutcome::PartlyUpheld => "Sie hatten zum Teil recht: Es wird weniger berechnet als zuvor.",
                    DisputeOutcome::Rejected => "Die Position bleibt bestehen.",
                    DisputeOutcome::Withdrawn => "Er ist erledigt, da Sie ihn zurückgenommen haben.",
                }
            ),
        ),
        About::Settled { charged, dispute_until } => (
            format!("Ihre Miete {reference}: Die Kaution ist abgerechnet"),
            format!(
                "Die Kaution Ihrer Miete von {vehicle} ist abgerechnet. Insgesamt berechnet: {charged}. Die Abrechnung \
                 nennt jede Position, ihren Grund und den Verbleib der Kaution.\n\nWenn etwas nicht stimmt, widersprechen \
                 Sie über den Link, den Sie bekommen haben, bis {dispute_until}, oder schreiben Sie uns."
            ),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use handsel_domain::money::Currency;

    #[test]
    fn a_letter_names_the_hire_the_sum_and_whom_to_ask() {
        let of = Concerning {
            hirer: "Juniper Test",
            reference: "F-7",
            vehicle: "Rowan",
            operator: "Fernway Campers",
            contact: "office@fernway.example",
        };
        let amount = Money::new(12_50, Currency::Gbp);
        let about = About::DisputeReceived { title: "Fuel", words: "It was full.", amount };
        for (lang, greeting, sum) in
            [(Lang::En, "Dear Juniper Test,", "£12.50"), (Lang::De, "Guten Tag Juniper Test,", "12,50\u{a0}£")]
        {
            let (subject, body) = letter(about, of, lang);
            assert!(subject.contains("F-7") && !subject.contains('\n'), "{subject}");
            for part in [greeting, sum, "Fuel", "It was full.", "Fernway Campers", "office@fernway.example"] {
                assert!(body.contains(part), "{part} in {body}");
            }
        }
    }
}
