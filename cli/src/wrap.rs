//! Text in lines that fit a terminal.

/// Characters in a line, indentation included.
pub const WIDTH: usize = 100;

/// `text` in lines of at most [`WIDTH`] characters, unless a single word is longer; the first line starts with `first`, the
/// others with `rest`.
pub fn wrap(text: &str, first: &str, rest: &str) -> Vec<String> {
    let mut lines = vec![];
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text.split_whitespace() {
        if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
            lines.push(std::mem::replace(&mut line, rest.to_owned()));
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    lines.push(line);
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_filled_and_no_word_is_lost() {
        let text = ["word"; 60].join(" ");
        let lines = wrap(&text, "  - ", "    ");
        assert!(lines.len() == 4 && lines[0].starts_with("  - word") && lines[1].starts_with("    word"));
        assert!(lines.iter().all(|line| line.chars().count() <= WIDTH));
        assert!(lines[..3].iter().all(|line| line.chars().count() > WIDTH - 5), "{lines:#?}");
        let words: usize = lines.iter().map(|line| line.matches("word").count()).sum();
        assert_eq!(words, 60);
    }

    #[test]
    fn a_word_longer_than_a_line_stands_alone() {
        let long = "x".repeat(WIDTH + 10);
        assert_eq!(wrap(&format!("a {long} b"), "", ""), ["a", &long, "b"]);
        assert_eq!(wrap("", "- ", ""), ["- "]);
    }
}
