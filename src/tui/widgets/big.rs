//! Digits to be read from two metres: five rows high, seven where there is room.

/// Small digits, three dots wide.
const FIVE: [(char, [&str; 5]); 19] = [
    ('0', ["###", "# #", "# #", "# #", "###"]),
    ('1', [" # ", "## ", " # ", " # ", "###"]),
    ('2', ["###", "  #", "###", "#  ", "###"]),
    ('3', ["###", "  #", " ##", "  #", "###"]),
    ('4', ["# #", "# #", "###", "  #", "  #"]),
    ('5', ["###", "#  ", "###", "  #", "###"]),
    ('6', ["###", "#  ", "###", "# #", "###"]),
    ('7', ["###", "  #", "  #", " # ", " # "]),
    ('8', ["###", "# #", "###", "# #", "###"]),
    ('9', ["###", "# #", "###", "  #", "###"]),
    ('.', [" ", " ", " ", " ", "#"]),
    (':', [" ", "#", " ", "#", " "]),
    ('-', ["  ", "  ", "##", "  ", "  "]),
    ('/', ["  #", "  #", " # ", "#  ", "#  "]),
    ('≤', ["  #", " # ", "#  ", " # ", "###"]),
    ('≥', ["#  ", " # ", "  #", " # ", "###"]),
    ('_', ["   ", "   ", "   ", "   ", "###"]),
    ('?', ["###", "  #", " ##", "   ", " # "]),
    (' ', [" ", " ", " ", " ", " "]),
];

/// Large digits, four dots wide.
const SEVEN: [(char, [&str; 7]); 19] = [
    ('0', [" ## ", "#  #", "#  #", "#  #", "#  #", "#  #", " ## "]),
    ('1', [" #  ", "##  ", " #  ", " #  ", " #  ", " #  ", "### "]),
    ('2', [" ## ", "#  #", "   #", "  # ", " #  ", "#   ", "####"]),
    ('3', ["### ", "   #", "   #", " ## ", "   #", "   #", "### "]),
    ('4', ["#  #", "#  #", "#  #", "####", "   #", "   #", "   #"]),
    ('5', ["####", "#   ", "#   ", "### ", "   #", "   #", "### "]),
    ('6', [" ## ", "#   ", "#   ", "### ", "#  #", "#  #", " ## "]),
    ('7', ["####", "   #", "   #", "  # ", "  # ", " #  ", " #  "]),
    ('8', [" ## ", "#  #", "#  #", " ## ", "#  #", "#  #", " ## "]),
    ('9', [" ## ", "#  #", "#  #", " ###", "   #", "   #", " ## "]),
    ('.', [" ", " ", " ", " ", " ", " ", "#"]),
    (':', [" ", " ", "#", " ", "#", " ", " "]),
    ('-', ["   ", "   ", "   ", "###", "   ", "   ", "   "]),
    ('/', ["   #", "   #", "  # ", "  # ", " #  ", "#   ", "#   "]),
    ('≤', ["   #", "  # ", " #  ", "  # ", "   #", "    ", "####"]),
    ('≥', ["#   ", " #  ", "  # ", " #  ", "#   ", "    ", "####"]),
    ('_', ["    ", "    ", "    ", "    ", "    ", "    ", "####"]),
    ('?', [" ## ", "#  #", "   #", "  # ", " #  ", "    ", " #  "]),
    (' ', [" ", " ", " ", " ", " ", " ", " "]),
];

/// A number in digits of five or seven rows, each dot two cells wide. Characters that are not digits or signs of a
/// number are left out.
#[must_use]
pub fn lines(text: &str, tall: bool) -> Vec<String> {
    let dots = |c: char| -> Option<Vec<&'static str>> {
        let c = if c == ',' { '.' } else { c };
        if tall {
            SEVEN.iter().find(|(d, _)| *d == c).map(|(_, rows)| rows.to_vec())
        } else {
            FIVE.iter().find(|(d, _)| *d == c).map(|(_, rows)| rows.to_vec())
        }
    };
    let glyphs: Vec<Vec<&'static str>> = text.chars().filter_map(dots).collect();
    let row = |k: usize| {
        let parts = glyphs.iter().filter_map(|g| g.get(k)).map(|r| r.replace('#', "██").replace(' ', "  "));
        parts.collect::<Vec<_>>().join("  ")
    };
    (0..if tall { 7 } else { 5 }).map(row).collect()
}

/// How many cells wide a number is drawn.
#[must_use]
pub fn width(text: &str, tall: bool) -> usize {
    lines(text, tall).iter().map(|l| l.chars().count()).max().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_five_or_seven_rows_and_all_alike_wide() {
        for (tall, rows) in [(false, 5), (true, 7)] {
            for digit in '0'..='9' {
                let drawn = lines(&digit.to_string(), tall);
                assert_eq!(drawn.len(), rows);
                let wide = drawn[0].chars().count();
                assert!(wide >= 6 && drawn.iter().all(|l| l.chars().count() == wide), "{digit}");
                assert!(drawn.iter().any(|l| l.contains('█')), "{digit}");
            }
            let all: std::collections::HashSet<_> = ('0'..='9').map(|d| lines(&d.to_string(), tall)).collect();
            assert_eq!(all.len(), 10, "no two digits look the same");
        }
    }

    #[test]
    fn a_limit_of_three_decimals_fits_its_screen() {
        assert!(width("25.021", false) <= 78 && width("24.987", true) <= 118);
        assert!(width("1234.5", false) <= 78);
        assert_eq!(lines("25,0", false), lines("25.0", false));
    }
}
