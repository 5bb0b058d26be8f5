//! Who a server talks to: a mail server that keeps what it is sent, and a program that is told what happens.

use std::collections::BTreeMap;
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::net::{TcpListener, TcpStream};
use tokio::task::JoinHandle;

type Kept<T> = Arc<Mutex<Vec<T>>>;

/// A port that is free now.
#[must_use]
pub fn free_port() -> u16 {
    let listener = std::net::TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).expect("a port");
    listener.local_addr().expect("an address").port()
}

/// Waits until something is so many, for ten seconds.
async fn until<T: Clone>(kept: &Kept<T>, count: usize) -> Vec<T> {
    for _ in 0..200 {
        let now = kept.lock().expect("what was kept").clone();
        if now.len() >= count {
            return now;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("only {} of {count} came", kept.lock().expect("what was kept").len());
}

/// A mail server (RFC 5321) that takes every letter and keeps it.
#[derive(Debug)]
pub struct MailServer {
    letters: Kept<String>,
    task: JoinHandle<()>,
}

impl MailServer {
    pub async fn start(port: u16) -> Self {
        let listener = TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port))).await.expect("a port");
        let letters = Kept::default();
        let kept = Arc::clone(&letters);
        let task = tokio::spawn(async move {
            while let Ok((stream, _)) = listener.accept().await {
                let _taking = tokio::spawn(take_letters(stream, Arc::clone(&kept)));
            }
        });
        Self { letters, task }
    }

    /// The letters, as soon as there are so many.
    pub async fn letters(&self, count: usize) -> Vec<String> {
        until(&self.letters, count).await
    }

    #[must_use]
    pub fn count(&self) -> usize {
        self.letters.lock().expect("the letters").len()
    }
}

impl Drop for MailServer {
    fn drop(&mut self) {
        self.task.abort();
    }
}

async fn take_letters(stream: TcpStream, letters: Kept<String>) {
    let (read, mut write) = stream.into_split();
    let mut lines = BufReader::new(read).lines();
    let _ = write.write_all(b"220 mail.example ESMTP\r\n").await;
    let mut letter = None;
    while let Ok(Some(line)) = lines.next_line().await {
        if let Some(mut text) = letter.take() {
            if line == "." {
                letters.lock().expect("the letters").push(text);
                let _ = write.write_all(b"250 kept\r\n").await;
            } else {
                text += line.strip_prefix('.').unwrap_or(&line);
                text += "\n";
                letter = Some(text);
            }
            continue;
        }
        let answer: &[u8] = match line.split(' ').next().unwrap_or_default().to_uppercase().as_str() {
            "EHLO" => b"250-mail.example\r\n250 8BITMIME\r\n",
            "DATA" => {
                letter = Some(String::new());
                b"354 go on\r\n"
            }
            "QUIT" => b"221 bye\r\n",
            _ => b"250 fine\r\n",
        };
        let _ = write.write_all(answer).await;
    }
}

/// Something a program was told.
#[derive(Clone, Debug)]
pub struct Told {
    /// By lower-case name.
    pub headers: BTreeMap<String, String>,
    pub body: String,
}

/// A program that is told what happens; it answers 503 to so many before it listens.
#[derive(Debug)]
pub struct ToldProgram {
    pub port: u16,
    told: Kept<Told>,
    task: JoinHandle<()>,
}

impl ToldProgram {
    pub async fn start(refusals: u32) -> Self {
        let listener = TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, 0))).await.expect("a port");
        let port = listener.local_addr().expect("an address").port();
        let told = Kept::default();
        let (kept, left) = (Arc::clone(&told), Arc::new(Mutex::new(refusals)));
        let task = tokio::spawn(async move {
            while let Ok((stream, _)) = listener.accept().await {
                let _listening = tokio::spawn(listen(stream, Arc::clone(&kept), Arc::clone(&left)));
            }
        });
        Self { port, told, task }
    }

    pub async fn told(&self, count: usize) -> Vec<Told> {
        until(&self.told, count).await
    }
}

impl Drop for ToldProgram {
    fn drop(&mut self) {
        self.task.abort();
    }
}

async fn listen(stream: TcpStream, told: Kept<Told>, refusals: Arc<Mutex<u32>>) {
    let (read, mut write) = stream.into_split();
    let mut read = BufReader::new(read);
    loop {
        let mut headers = BTreeMap::new();
        let mut first = true;
        loop {
            let mut line = String::new();
            if read.read_line(&mut line).await.unwrap_or(0) == 0 {
                return;
            }
            let line = line.trim_end();
            if line.is_empty() {
                break;
            }
            if !first && let Some((name, value)) = line.split_once(':') {
                headers.insert(name.to_lowercase(), value.trim().to_owned());
            }
            first = false;
        }
        let length = headers.get("content-length").and_then(|l| l.parse().ok()).unwrap_or(0);
        let mut body = vec![0; length];
        if read.read_exact(&mut body).await.is_err() {
            return;
        }
        let refuse = {
            let mut left = refusals.lock().expect("a number");
            let refuse = *left > 0;
            *left = left.saturating_sub(1);
            refuse
        };
        let answer: &[u8] = if refuse {
            b"HTTP/1.1 503 Service Unavailable\r\ncontent-length: 0\r\n\r\n"
        } else {
            let body = String::from_utf8(body).expect("text");
            told.lock().expect("what was told").push(Told { headers, body });
            b"HTTP/1.1 204 No Content\r\n\r\n"
        };
        if write.write_all(answer).await.is_err() {
            return;
        }
    }
}
