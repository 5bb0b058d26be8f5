use reqwest::header::{AUTHORIZATION, HeaderMap};
use reqwest::{Method, RequestBuilder};
use serde_json::Value;
use std::fmt::Display;
use std::sync::{Arc, Mutex};

/// Somebody who talks to the server.
#[derive(Clone, Debug)]
pub struct Client {
    http: reqwest::Client,
    base: String,
    /// Shared by all clones: one signs in again for all.
    token: Option<Arc<Mutex<String>>>,
    /// Whose token it is, to sign in again when it has run out: tests let weeks pass.
    email: Option<String>,
    renewing: Arc<tokio::sync::Mutex<()>>,
}

/// What came back.
#[derive(Clone, Debug)]
pub struct Answer {
    pub status: u16,
    pub headers: HeaderMap,
    pub bytes: Vec<u8>,
    /// What was asked, for telling what failed.
    asked: String,
}

impl Client {
    pub(crate) fn new(base: String) -> Self {
        handsel::outside::prepare();
        let http = reqwest::Client::builder().no_proxy().build().expect("a client");
        Self { http, base, token: None, email: None, renewing: Arc::default() }
    }

    /// The same, with an access token.
    #[must_use]
    pub fn with_token(&self, token: &str) -> Self {
        let token = Some(Arc::new(Mutex::new(token.to_owned())));
        Self { token, email: None, renewing: Arc::default(), ..self.clone() }
    }

    /// The same, signed in; and again whenever the token has run out.
    pub async fn signed_in(&self, email: &str) -> Self {
        let asked = serde_json::json!({"email": email, "password": crate::PASSWORD});
        let session = self.exchange(self.request(Method::POST, "/auth/login").json(&asked)).await.expect(200);
        let token = session["access_token"].as_str().expect("a token");
        Self { email: Some(email.to_owned()), ..self.with_token(token) }
    }

    /// A request to version 1, or to the root for a path that begins with `//`.
    pub fn request(&self, method: Method, path: &str) -> RequestBuilder {
        let path =
            path.strip_prefix('/').filter(|p| p.starts_with('/')).map_or(format!("/api/v1{path}"), str::to_owned);
        let request = self.http.request(method, format!("{}{path}", self.base));
        match self.token() {
            Some(token) => request.bearer_auth(token),
            None => request,
        }
    }

    fn token(&self) -> Option<String> {
        self.token.as_ref().map(|t| t.lock().expect("a token").clone())
    }

    pub async fn send(&self, request: RequestBuilder) -> Answer {
        let again = request.try_clone();
        let before = self.token();
        let answer = self.exchange(request).await;
        match (&self.email, &self.token, again) {
            (Some(email), Some(token), Some(again)) if answer.ran_out() => {
                let (http, request) = again.build_split();
                let mut request = request.expect("a request");
                // Whoever comes while another signs in again waits for that, as an app would.
                let renewing = self.renewing.lock().await;
                if self.token() == before {
                    let anew = Self { token: None, ..self.clone() }.signed_in(email).await;
                    *token.lock().expect("a token") = anew.token().unwrap_or_default();
                }
                drop(renewing);
                let bearer = format!("Bearer {}", self.token().unwrap_or_default());
                request.headers_mut().insert(AUTHORIZATION, bearer.parse().expect("a header"));
                self.exchange(RequestBuilder::from_parts(http, request)).await
            }
            _ => answer,
        }
    }

    async fn exchange(&self, request: RequestBuilder) -> Answer {
        let request = request.build().expect("a request");
        let asked = format!("{} {}", request.method(), request.url().path());
        let response = self.http.execute(request).await.expect("an answer");
        let (status, headers) = (response.status().as_u16(), response.headers().clone());
        Answer { status, headers, bytes: response.bytes().await.expect("a body").to_vec(), asked }
    }

    pub async fn get(&self, path: &str) -> Answer {
        self.send(self.request(Method::GET, path)).await
    }

    pub async fn delete(&self, path: &str) -> Answer {
        self.send(self.request(Method::DELETE, path)).await
    }

    pub async fn post(&self, path: &str, body: &Value) -> Answer {
        self.send(self.request(Method::POST, path).json(body)).await
    }

    /// With an idempotency key.
    pub async fn post_once(&self, path: &str, key: impl Display, body: &Value) -> Answer {
        let request = self.request(Method::POST, path).header("Idempotency-Key", key.to_string());
        self.send(request.json(body)).await
    }

    pub async fn put(&self, path: &str, body: &Value) -> Answer {
        self.send(self.request(Method::PUT, path).json(body)).await
    }

    pub async fn patch(&self, path: &str, version: u32, body: &Value) -> Answer {
        let request = self.request(Method::PATCH, path).header("If-Match", format!("\"{version}\""));
        self.send(request.json(body)).await
    }

    /// Uploads a photograph.
    pub async fn upload(&self, path: &str, media_type: &str, bytes: &[u8]) -> Answer {
        let request = self.request(Method::PUT, path).header("Content-Type", media_type);
        self.send(request.body(bytes.to_vec())).await
    }
}

impl Answer {
    #[must_use]
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.bytes)
            .unwrap_or_else(|e| panic!("{}: {e} in {}", self.asked, String::from_utf8_lossy(&self.bytes)))
    }

    /// Whether the session has run out; the answer to HEAD has no body to say so in.
    fn ran_out(&self) -> bool {
        self.status == 401 && (self.bytes.is_empty() || self.json()["code"] == "token_expired")
    }

    /// The body of an answer with this status.
    #[must_use]
    #[track_caller]
    pub fn expect(&self, status: u16) -> Value {
        assert_eq!(self.status, status, "{}: {}", self.asked, String::from_utf8_lossy(&self.bytes));
        if self.bytes.is_empty() { Value::Null } else { self.json() }
    }

    /// The problem of a refusal with this status and code.
    #[must_use]
    #[track_caller]
    pub fn refused(&self, status: u16, code: &str) -> Value {
        let problem = self.expect(status);
        assert_eq!(problem.get("code").and_then(Value::as_str), Some(code), "{}: {problem}", self.asked);
        assert_eq!(self.header("content-type"), "application/problem+json", "{}", self.asked);
        problem
    }

    /// A header as text; empty when it is not there.
    #[must_use]
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).and_then(|v| v.to_str().ok()).unwrap_or_default()
    }
}
