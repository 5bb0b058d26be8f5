use crate::app::{App, JobKind as Kind, JobStage as Stage};
use actix_web::Error;
use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::middleware::Next;
use actix_web::web::Data;
use std::collections::BTreeMap;
use std::fmt::Write;
use std::sync::{Mutex, PoisonError};

/// Requests so far, by method, route and status. Routes, not paths: ids would make a counter each.
#[derive(Debug, Default)]
pub(in crate::http) struct Metrics {
    requests: Mutex<BTreeMap<(String, String, u16), Tally>>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    count: u64,
    milliseconds: i64,
}

impl Metrics {
    fn note(&self, method: &str, route: &str, status: u16, milliseconds: i64) {
        let mut requests = self.requests.lock().unwrap_or_else(PoisonError::into_inner);
        let tally = requests.entry((method.to_owned(), route.to_owned(), status)).or_default();
        tally.count += 1;
        tally.milliseconds += milliseconds;
    }

    pub(in crate::http) fn text(&self) -> String {
        let requests = self.requests.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let mut text =
            String::from("# HELP handsel_requests_total Requests answered.\n# TYPE handsel_requests_total counter\n");
        let mut times = String::from(
            "# HELP handsel_request_milliseconds_total Time spent answering.\n\
             # TYPE handsel_request_milliseconds_total counter\n",
        );
        for ((method, route, status), tally) in requests {
            let labels = format!("{{method=\"{method}\",route=\"{route}\",status=\"{status}\"}}");
            // Writing to a String does not fail.
            let _ = writeln!(text, "handsel_requests_total{labels} {}", tally.count);
            let _ = writeln!(times, "handsel_request_milliseconds_total{labels} {}", tally.milliseconds);
        }
        text + &times
    }
}

/// Jobs by kind and by where they stand.
pub(in crate::http) fn jobs(counts: &[(Kind, Stage, u64)]) -> String {
    let mut text = String::from("# HELP handsel_jobs Jobs, by where they stand.\n# TYPE handsel_jobs gauge\n");
    for (kind, stage, count) in counts {
        let (kind, stage) = (format!("{kind:?}").to_lowercase(), format!("{stage:?}").to_lowercase());
        // Writing to a String does not fail.
        let _ = writeln!(text, "handsel_jobs{{kind=\"{kind}\",state=\"{stage}\"}} {count}");
    }
    text
}

pub(in crate::http) async fn measure<B: MessageBody + 'static>(
    req: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    let method = req.method().to_string();
    let route = req.match_pattern().unwrap_or_else(|| "other".to_owned());
    let app = req.app_data::<Data<App>>().cloned();
    let metrics = req.app_data::<Data<Metrics>>().cloned();
    let started = app.as_ref().map(|a| a.now());
    let res = next.call(req).await?;
    if let (Some(app), Some(metrics), Some(started)) = (app, metrics, started) {
        let milliseconds = (app.now().utc() - started.utc()).num_milliseconds();
        metrics.note(&method, &route, res.status().as_u16(), milliseconds);
    }
    Ok(res)
}
