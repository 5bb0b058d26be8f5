use super::OutsideError;
use lettre::message::header::{ContentType, HeaderName, HeaderValue};
use lettre::message::{Mailbox, Message};
use lettre::{AsyncSmtpTransport, AsyncTransport, Tokio1Executor};
use std::fmt;
use std::time::{Duration, SystemTime};

/// How long a mail server may take to answer.
const PATIENCE: Duration = Duration::from_secs(20);

/// A mail server.
#[derive(Clone)]
pub struct Smtp {
    transport: AsyncSmtpTransport<Tokio1Executor>,
    from: Mailbox,
}

impl fmt::Debug for Smtp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Smtp").field("from", &self.from).finish_non_exhaustive()
    }
}

/// A letter as it is sent.
#[derive(Clone, Debug)]
pub struct Mail<'a> {
    /// The same for every attempt, so that a mail server that got it twice can tell (RFC 5322, Message-ID).
    pub id: String,
    pub to: &'a str,
    pub subject: &'a str,
    pub body: &'a str,
    pub date: SystemTime,
}

impl Smtp {
    /// # Errors
    /// An address that cannot be one.
    pub fn open(url: &str, from: &str) -> Result<Self, OutsideError> {
        let from: Mailbox = from.parse().map_err(|e| OutsideError(format!("HANDSEL_MAIL_FROM: {e}")))?;
        let transport = AsyncSmtpTransport::<Tokio1Executor>::from_url(url)
            .map_err(|e| OutsideError(format!("HANDSEL_SMTP_URL: {e}")))?
            .timeout(Some(PATIENCE))
            .build();
        Ok(Self { transport, from })
    }

    /// Hands a letter to the mail server.
    ///
    /// # Errors
    /// The address cannot be one, or the server did not take it.
    pub async fn send(&self, mail: Mail<'_>) -> Result<(), OutsideError> {
        let to: Mailbox = mail.to.parse().map_err(|e| OutsideError(format!("the address: {e}")))?;
        let host = self.from.email.domain();
        let automatic = HeaderValue::new(HeaderName::new_from_ascii_str("Auto-Submitted"), "auto-generated".to_owned());
        let message = Message::builder()
            .from(self.from.clone())
            .to(to)
            .subject(mail.subject)
            .date(mail.date)
            .message_id(Some(format!("<{}@{host}>", mail.id)))
            .raw_header(automatic)
            .header(ContentType::TEXT_PLAIN)
            .body(mail.body.to_owned())
            .map_err(|e| OutsideError(format!("the letter: {e}")))?;
        self.transport.send(message).await.map(drop).map_err(|e| OutsideError(format!("the mail server: {e}")))
    }
}
