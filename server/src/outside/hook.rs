use super::OutsideError;
use reqwest::{Client, redirect};
use std::fmt;
use std::time::Duration;

const PATIENCE: Duration = Duration::from_secs(15);

/// Another program that is told what happens, by a POST for each notice.
#[derive(Clone)]
pub struct Hook {
    client: Client,
    url: String,
}

impl fmt::Debug for Hook {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Hook")
    }
}

impl Hook {
    /// # Errors
    /// No client can be made.
    pub fn open(url: &str) -> Result<Self, OutsideError> {
        let client = Client::builder()
            .timeout(PATIENCE)
            .redirect(redirect::Policy::none())
            .build()
            .map_err(|e| OutsideError(format!("HANDSEL_WEBHOOK_URL: {e}")))?;
        Ok(Self { client, url: url.to_owned() })
    }

    /// Posts a body with the headers that prove whose it is.
    ///
    /// # Errors
    /// Nobody answers, or not with a status of success.
    pub async fn post(&self, body: String, headers: &[(&'static str, String)]) -> Result<(), OutsideError> {
        let mut request = self.client.post(&self.url).header("content-type", "application/json").body(body);
        for (name, value) in headers {
            request = request.header(*name, value);
        }
        let answer =
            request.send().await.map_err(|e| OutsideError(format!("the program told: {}", e.without_url())))?;
        if answer.status().is_success() {
            Ok(())
        } else {
            Err(OutsideError(format!("the program told answered {}", answer.status())))
        }
    }
}
