//! The file as bytes: frames found by line, proved by hash, before anything reads them as YAML.

use std::ops::Range;

use crate::module::sha256_hex;

/// An event of more bytes than this is broken.
const MOST: usize = 1 << 20;
/// The first event holds spec and plan and may be larger.
const MOST_FIRST: usize = 16 << 20;

/// One complete event in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Frame {
    /// Its bytes in the file, the `hash:` line included.
    pub bytes: Range<usize>,
    /// The bytes that are hashed.
    pub hashed: Range<usize>,
    /// Hash as stated.
    pub hash: String,
}

/// A file cut into frames, and what is left after the last complete one.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Frames {
    /// Complete frames.
    pub frames: Vec<Frame>,
    /// Bytes after the last `hash:` line.
    pub tail: Range<usize>,
}

/// Cuts the file into frames.
#[must_use]
pub fn cut(file: &[u8]) -> Frames {
    let mut frames = Vec::new();
    let mut start = 0;
    let mut at = 0;
    for line in file.split_inclusive(|b| *b == b'\n') {
        let next = at + line.len();
        if let Some(hash) = stated_hash(line) {
            frames.push(Frame { bytes: start..next, hashed: start..at, hash });
            start = next;
        }
        at = next;
    }
    Frames { frames, tail: start..file.len() }
}

/// The hash of a complete `hash:` line. A converted line end still ends the frame, so that it is told as altered and
/// not taken for a torn tail.
fn stated_hash(line: &[u8]) -> Option<String> {
    let text = std::str::from_utf8(line.strip_prefix(b"hash: ")?).ok()?.strip_suffix('\n')?;
    let text = text.strip_suffix('\r').unwrap_or(text);
    let is_hex = text.len() == 64 && text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
    is_hex.then(|| text.to_owned())
}

/// What is wrong with a frame.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// Bytes do not match the hash.
    #[error("its bytes do not match its hash{0}")]
    Hash(String),
    /// Wrong number.
    #[error("it calls itself event {0}")]
    Number(String),
    /// Does not point at the event before it.
    #[error("it does not follow the event before it")]
    Before,
    /// Too large.
    #[error("it is larger than an event can be")]
    Size,
    /// Not readable as an event although its hash is right.
    #[error("it cannot be read: {0}")]
    Content(String),
}

/// Proves frame number `n` (from 1) against its hash, its number and the hash of the event before it.
///
/// # Errors
/// [`Fault`].
pub fn prove(file: &[u8], frame: &Frame, n: u64, before: &str) -> Result<(), Fault> {
    let most = if n == 1 { MOST_FIRST } else { MOST };
    if frame.bytes.len() > most {
        return Err(Fault::Size);
    }
    let hashed = &file[frame.hashed.clone()];
    if sha256_hex(hashed) != frame.hash {
        return Err(Fault::Hash(likely(file, &frame.hashed)));
    }
    let text = std::str::from_utf8(hashed).map_err(|e| Fault::Content(e.to_string()))?;
    formed(text, n)?;
    let field = |name: &str| text.lines().find_map(|l| l.strip_prefix(name)).unwrap_or_default().trim().to_owned();
    if field("event:") != n.to_string() {
        return Err(Fault::Number(field("event:")));
    }
    if field("before:") != before {
        return Err(Fault::Before);
    }
    Ok(())
}

/// Lines that could be taken for a frame's edge, or hide words from a reader of YAML.
fn is_edge(line: &str) -> bool {
    ["---", "...", "#", "hash:"].iter().any(|e| line.starts_with(e))
}

/// An event is one document from its `---` on; only the first has comments, and only before it. Whoever makes a chain of
/// his own cannot hide words between the events.
fn formed(text: &str, n: u64) -> Result<(), Fault> {
    let mut lines = text.lines();
    let before = lines.by_ref().take_while(|l| *l != "---").filter(|l| n > 1 || !l.starts_with('#')).count();
    let inside = lines.filter(|l| is_edge(l)).count();
    if before + inside == 0 {
        Ok(())
    } else {
        Err(Fault::Content("it holds lines that the program never writes, outside its document".into()))
    }
}

/// What most likely happened to bytes that are not as they were written, and what to do; nothing where they do not tell.
fn likely(file: &[u8], hashed: &Range<usize>) -> String {
    let bytes = &file[hashed.clone()];
    let mut at = hashed.start;
    for line in bytes.split_inclusive(|b| *b == b'\n') {
        // No line of an event begins so: the program writes none.
        if [&b"<<<<<<< "[..], b"=======", b">>>>>>> "].iter().any(|mark| line.starts_with(mark)) {
            let number = 1 + file[..at].iter().filter(|b| **b == b'\n').count();
            return format!(
                "; line {number} of the file is a mark of a merge: version control put two copies into one. Take each copy out as it was, and set them side by side with \"runtrue verify\" and --against"
            );
        }
        at += line.len();
    }
    if bytes.windows(2).any(|w| w == b"\r\n") {
        return "; its line ends were converted, most likely by a copy or by version control; take the copy from before that".into();
    }
    String::new()
}

/// A payload that the record could not be read back from.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unsafe {
    /// A line could be taken for a frame's edge.
    #[error("the entry cannot be written: its line {0} would break the record")]
    Edge(usize),
    /// More bytes than an event may have.
    #[error("the entry has {0} bytes, {1} are the most; make it shorter, and keep long text as a file of its own")]
    Size(usize, usize),
}

/// Builds the bytes of an event: `front` (comments of event 1), the document, its hash.
///
/// # Errors
/// [`Unsafe`] where a line of the body begins in column 1 with `---`, `...`, `#` or `hash:`, or the event would be
/// larger than [`prove`] accepts.
pub fn build(front: &str, body: &str) -> Result<(Vec<u8>, String), Unsafe> {
    if let Some(line) = body.lines().position(is_edge) {
        return Err(Unsafe::Edge(line + 1));
    }
    let mut text = format!("{front}---\n{body}");
    if !text.ends_with('\n') {
        text.push('\n');
    }
    let hash = sha256_hex(text.as_bytes());
    text.push_str(&format!("hash: {hash}\n"));
    // Only the first event has comments before it.
    let most = if front.is_empty() { MOST } else { MOST_FIRST };
    if text.len() > most {
        return Err(Unsafe::Size(text.len(), most));
    }
    Ok((text.into_bytes(), hash))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(n: u64) -> Vec<u8> {
        let mut out = Vec::new();
        let mut before = "none".to_owned();
        for k in 1..=n {
            let front = if k == 1 { "# a comment\n" } else { "" };
            let (bytes, hash) = build(front, &format!("event: {k}\nbefore: {before}\nnote: x{k}\n")).unwrap();
            out.extend(bytes);
            before = hash;
        }
        out
    }

    fn whole(bytes: &[u8]) -> (usize, usize, bool) {
        let cut = cut(bytes);
        let mut before = "none".to_owned();
        let mut good = 0;
        for (n, frame) in (1..).zip(&cut.frames) {
            if prove(bytes, frame, n, &before).is_err() {
                return (good, cut.tail.len(), false);
            }
            before.clone_from(&frame.hash);
            good += 1;
        }
        (good, cut.tail.len(), true)
    }

    #[test]
    fn a_cut_at_every_byte_leaves_whole_events_and_a_tail() {
        let all = file(4);
        assert_eq!(whole(&all), (4, 0, true));
        for end in 0..all.len() {
            let (good, tail, ok) = whole(&all[..end]);
            assert!(ok, "cut at {end}");
            assert!(good < 4 && (tail > 0 || cut(&all[..end]).frames.last().is_none_or(|f| f.bytes.end == end)));
        }
    }

    #[test]
    fn every_changed_byte_is_found() {
        let all = file(3);
        for k in 0..all.len() {
            for change in [1u8, 0x20] {
                let mut bytes = all.clone();
                bytes[k] ^= change;
                let (good, tail, ok) = whole(&bytes);
                assert!(!ok || tail > 0 || good < 3, "byte {k}");
            }
        }
    }

    #[test]
    fn repeated_removed_and_reordered_events_are_found() {
        let all = file(4);
        let frames: Vec<Vec<u8>> = cut(&all).frames.iter().map(|f| all[f.bytes.clone()].to_vec()).collect();
        for order in [[0, 1, 1, 2], [0, 2, 3, 3], [0, 2, 1, 3], [1, 0, 2, 3]] {
            let bytes: Vec<u8> = order.iter().flat_map(|k| frames[*k].clone()).collect();
            assert!(!whole(&bytes).2, "{order:?}");
        }
    }

    #[test]
    fn what_is_built_is_proved_up_to_the_largest_event_and_one_byte_more_is_refused() {
        let head = "event: 1\nbefore: none\nnote: ";
        // `---`, the line end after the note, and the line of the hash.
        let around = "---\n".len() + head.len() + 1 + "hash: \n".len() + 64;
        let body = |bytes: usize| format!("{head}{}\n", "x".repeat(bytes - around));
        let (largest, _) = build("", &body(MOST)).unwrap();
        assert_eq!((largest.len(), build("", &body(MOST + 1))), (MOST, Err(Unsafe::Size(MOST + 1, MOST))));
        assert_eq!(whole(&largest), (1, 0, true));
    }

    #[test]
    fn converted_line_ends_leave_frames_that_are_altered_and_no_tail() {
        let text = String::from_utf8(file(2)).unwrap().replace('\n', "\r\n");
        let cut = cut(text.as_bytes());
        assert_eq!((cut.frames.len(), cut.tail.len()), (2, 0));
        let fault = prove(text.as_bytes(), &cut.frames[0], 1, "none").unwrap_err();
        assert!(fault.to_string().contains("line ends"), "{fault}");
    }

    #[test]
    fn words_hidden_outside_a_document_are_told_although_every_hash_is_right() {
        let chained = |texts: [&str; 2]| {
            let mut out = Vec::new();
            for text in texts {
                out.extend(format!("{text}hash: {}\n", sha256_hex(text.as_bytes())).into_bytes());
            }
            out
        };
        let first = "# a comment\n---\nevent: 1\nbefore: none\n";
        let second = format!("event: 2\nbefore: {}\nnote: x\n", sha256_hex(first.as_bytes()));
        let good = chained([first, &format!("---\n{second}")]);
        assert_eq!(whole(&good), (2, 0, true));
        for hidden in [
            format!("# words\n---\n{second}"),
            format!("\n---\n{second}"),
            format!("---\n{second}# words\n"),
            second.clone(),
        ] {
            assert_eq!(whole(&chained([first, &hidden])), (1, 0, false), "{hidden}");
        }
        assert_eq!(whole(&chained(["words\n---\nevent: 1\nbefore: none\n", &second])), (0, 0, false));
    }

    #[test]
    fn marks_of_a_merge_are_named_with_their_line() {
        let all = String::from_utf8(file(3)).unwrap();
        let third = all.rfind("---\n").unwrap();
        let (head, ours) = all.split_at(third);
        let ours = ours.strip_prefix("---\n").unwrap();
        let theirs = ours.replace("x3", "y3");
        let merged = format!("{head}---\n<<<<<<< HEAD\n{ours}=======\n{theirs}>>>>>>> other\n");
        let cut = cut(merged.as_bytes());
        let fault = prove(merged.as_bytes(), &cut.frames[2], 3, &cut.frames[1].hash).unwrap_err().to_string();
        let line = 1 + merged.lines().position(|l| l.starts_with("<<<<<<<")).unwrap();
        assert!(fault.contains(&format!("line {line} of the file")) && fault.contains("--against"), "{fault}");
    }

    #[test]
    fn a_line_that_looks_like_an_edge_is_refused() {
        for line in ["---", "... x", "# x", "hash: x"] {
            assert!(build("", &format!("a: 1\n{line}\n")).is_err());
        }
        assert!(build("", "a: |\n  --- indented is no edge\n").is_ok());
    }
}
