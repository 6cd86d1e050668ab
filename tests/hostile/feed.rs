//! Feeds hostile bytes to everything that reads foreign ones, for `tests/outside/test_feed.py`.
//!
//!     feed TARGET SECONDS SEED KEPT FILE...
//!
//! Begins from the files, injures and crosses them, and reads what comes of it until the time is up. What is being read
//! lies in KEPT before it is read, so that it is there after a crash; one that takes more than five seconds ends the
//! run with status 3. Inputs that lead to another outcome than any before join the files to begin from.

use std::collections::HashSet;
use std::fs;
use std::path::PathBuf;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use color_eyre::eyre::{Result, bail, eyre};

mod reads;

use reads::TARGETS;

/// What is read must be read in so long.
const MAX_TIME: Duration = Duration::from_secs(5);
/// Inputs to begin from, at most.
const MAX_KEPT: usize = 4_000;
/// Bytes of an input, at most: what headers and texts have.
const MAX_BYTES: usize = 1 << 20;

fn main() -> Result<()> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let [target, seconds, seed, kept, ref files @ ..] = words[..] else {
        bail!("the command stands at the top of tests/hostile/feed.rs");
    };
    let (_, read) = TARGETS.iter().find(|(name, _)| *name == target).ok_or_else(|| eyre!("no target {target}"))?;
    let (until, kept) = (Instant::now() + Duration::from_secs_f64(seconds.parse()?), PathBuf::from(kept));
    let mut from = files.iter().map(fs::read).collect::<Result<Vec<_>, _>>()?;
    let mut chance = Chance(seed.parse()?);
    let (mut seen, mut count, mut slowest) = (HashSet::new(), 0_u64, Duration::ZERO);
    let round = watched();
    while Instant::now() < until {
        let bytes =
            if (count as usize) < from.len() { from[count as usize].clone() } else { injured(&from, &mut chance) };
        fs::write(&kept, &bytes)?;
        round.store(now_ms(), Ordering::Relaxed);
        let began = Instant::now();
        let outcome = read(&bytes, &kept);
        slowest = slowest.max(began.elapsed());
        round.store(0, Ordering::Relaxed);
        count += 1;
        if seen.insert(outcome) && from.len() < MAX_KEPT {
            from.push(bytes);
        }
    }
    println!("{count} {} {}", seen.len(), slowest.as_millis());
    Ok(())
}

/// When the round began, for a thread that ends the run where one takes too long; 0 between rounds.
fn watched() -> &'static AtomicU64 {
    static ROUND: AtomicU64 = AtomicU64::new(0);
    std::thread::spawn(|| {
        loop {
            std::thread::sleep(Duration::from_millis(200));
            let began = ROUND.load(Ordering::Relaxed);
            if began > 0 && u128::from(now_ms().saturating_sub(began)) > MAX_TIME.as_millis() {
                std::process::exit(3);
            }
        }
    });
    &ROUND
}

fn now_ms() -> u64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    since.as_millis() as u64
}

/// One of the inputs, injured, often crossed with another.
fn injured(from: &[Vec<u8>], chance: &mut Chance) -> Vec<u8> {
    let mut bytes = from[chance.below(from.len())].clone();
    for _ in 0..=chance.below(6) {
        let at = chance.below(bytes.len() + 1);
        match chance.below(9) {
            0 if at < bytes.len() => bytes[at] ^= 1 << chance.below(8),
            1 if at < bytes.len() => bytes[at] = chance.below(256) as u8,
            2 => bytes.truncate(at),
            3 => {
                let number = [0, 1, 0x7F, 0xFF, 0x7FFF_FFFF, u32::MAX, chance.below(1 << 20) as u32][chance.below(7)];
                let number = if chance.below(2) == 0 { number.to_be_bytes() } else { number.to_le_bytes() };
                let end = (at + 4).min(bytes.len());
                bytes[at..end].copy_from_slice(&number[..end - at]);
            }
            4 | 5 => {
                // A part of another input, in place of what is there or between.
                let other = &from[chance.below(from.len())];
                let begin = chance.below(other.len() + 1);
                let part = &other[begin..(begin + chance.below(200)).min(other.len())];
                let end = if chance.below(2) == 0 { at } else { (at + part.len()).min(bytes.len()) };
                bytes.splice(at..end, part.iter().copied());
            }
            6 => {
                let words =
                    ["\u{1b}[31m", "\"\"\"", "[[", "nan", "-9223372036854775808", "\u{202e}", "1e999", "\0", "{", "🥄"];
                bytes.splice(at..at, words[chance.below(words.len())].bytes());
            }
            7 => {
                // The same again and again: deep nesting, long runs.
                let part = bytes[at..(at + 1 + chance.below(8)).min(bytes.len())].to_vec();
                bytes.splice(at..at, part.repeat(chance.below(300)));
            }
            _ => {
                let end = (at + chance.below(64)).min(bytes.len());
                bytes.drain(at..end);
            }
        }
        bytes.truncate(MAX_BYTES);
    }
    bytes
}

/// Numbers that come out the same for the same seed: a linear congruence, Knuth's constants.
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % end.max(1)
    }
}
