//! Quantities of a spec by an arithmetic of its own, without the program's reader.

use super::*;

/// A spec as plain YAML, without the program's reader.
struct Spec(Yaml);

impl Spec {
    fn n(at: &Yaml, key: &str) -> u32 {
        u32::try_from(at[key].as_u64().unwrap_or_else(|| panic!("{key} in {at:?}"))).unwrap()
    }

    fn secure(bolts: &Yaml) -> &str {
        bolts["secure"].as_str().unwrap()
    }

    fn ids(at: &Yaml) -> Vec<String> {
        at.as_sequence().unwrap().iter().map(|v| v.as_str().unwrap().to_owned()).collect()
    }

    /// Sections of each drive: the spec itself and the second one.
    fn drives(&self) -> Vec<&Yaml> {
        let second = &self.0["second drive"];
        std::iter::once(&self.0).chain((!second.is_null()).then_some(second)).collect()
    }

    /// Name and thread to pieces, required hardware.
    fn hardware(&self) -> BTreeMap<(String, String), u32> {
        let s = &self.0;
        let bearings = Self::ids(&s["bearings"]["each"]).len() as u32;
        let mut count: BTreeMap<(String, String), u32> = BTreeMap::new();
        let mut add = |name: &str, size: &str, n: u32| {
            *count.entry((name.into(), size.split(' ').next().unwrap().into())).or_default() += n;
        };
        let mut hexagon = |bolts: &Yaml, groups: u32| {
            let (n, size) = (Self::n(bolts, "count") * groups, bolts["size"].as_str().unwrap());
            add("Hexagon bolt", size, n);
            add("Flat washer", size, n);
            if Self::secure(bolts) == "spring washer" {
                add("Spring washer", size, n);
            }
        };
        hexagon(&s["bearings"]["base bolts"], bearings);
        hexagon(&s["frame"]["hold-downs"], 1);
        for drive in self.drives() {
            hexagon(&drive["sled"]["lock bolts"], 1);
        }
        for drive in self.drives() {
            let screws = &drive["pulley"]["set screws"];
            add("Set screw, cup point", screws["size"].as_str().unwrap(), Self::n(screws, "count"));
        }
        let screws = &s["bearings"]["set screws"];
        if !screws.is_null() {
            add("Set screw, cup point", screws["size"].as_str().unwrap(), bearings * Self::n(screws, "count"));
        }
        if !s["rods"].is_null() {
            let pinch = &s["collars"]["pinch"];
            let n = Self::n(pinch, "count") * Self::ids(&s["collars"]["each"]).len() as u32;
            add("Socket head screw", pinch["size"].as_str().unwrap(), n);
            match Self::secure(pinch) {
                "spring washer" => add("Spring washer", pinch["size"].as_str().unwrap(), n),
                other => assert_eq!(other, "thread locker"),
            }
            let (rods, size) = (Self::n(&s["rods"], "count"), s["rods"]["size"].as_str().unwrap());
            let lengths: BTreeSet<&str> = match s["rods"]["lengths"].as_mapping() {
                Some(map) => map.values().map(|v| v.as_str().unwrap()).collect(),
                None => [s["rods"]["length"].as_str().unwrap()].into(),
            };
            add("Rod", size, rods * lengths.len() as u32);
            add("Nut", size, rods * 2);
            add("Flat washer", size, rods * 2);
            match Self::secure(&s["rods"]) {
                "second nut" => add("Second nut", size, rods * 2),
                "spring washer" => add("Spring washer", size, rods * 2),
                other => panic!("{other}"),
            }
        }
        if let Some(washers) = s["balance"]["washers"].as_mapping() {
            let (size, most) = (washers["size"].as_str().unwrap(), washers["most"].as_u64().unwrap() as u32);
            let nuts = Self::n(&s["rods"], "count") * s["balance"]["planes"].as_sequence().unwrap().len() as u32;
            add("Retaining nut", size, nuts);
            add("Balance washer", size, nuts * most);
        }
        count
    }

    /// Ids of all parts.
    fn parts(&self) -> BTreeSet<String> {
        let s = &self.0;
        let mut ids: BTreeSet<String> = Self::ids(&s["bearings"]["each"]).into_iter().collect();
        for section in ["shaft", "base", "frame", "guard"] {
            ids.insert(s[section]["part"].as_str().unwrap().into());
        }
        for section in ["collars", "plates"] {
            if !s[section].is_null() {
                ids.extend(Self::ids(&s[section]["each"]));
            }
        }
        if !s["discs"].is_null() {
            let part = s["discs"]["part"].as_str().unwrap();
            ids.extend((1..=Self::n(&s["discs"], "count")).map(|k| format!("{part}-{k}")));
        }
        for drive in self.drives() {
            for section in ["pulley", "belt", "sled"] {
                ids.insert(drive[section]["part"].as_str().unwrap().into());
            }
            let other = if drive["belt"]["driver"].is_null() { "driven" } else { "driver" };
            ids.insert(drive["belt"][other]["part"].as_str().unwrap().into());
        }
        ids
    }
}

pub(super) fn counted(text: &str) -> Kit {
    let spec = Spec(serde_yaml::from_str(text).unwrap());
    let kit = packed(&module(text));
    let mut found: BTreeMap<(String, String), u32> = BTreeMap::new();
    for line in kit.lines.iter().filter(|l| l.kind == Kind::Hardware && l.required && l.joint.is_some()) {
        let thread = line.size.as_ref().unwrap().split(' ').next().unwrap().to_owned();
        *found.entry((line.name.clone(), thread)).or_default() += line.quantity;
    }
    assert_eq!(found, spec.hardware());
    let parts = kit.lines.iter().filter(|l| l.kind == Kind::Part);
    let mut ids = BTreeSet::new();
    for line in parts {
        assert_eq!(line.quantity as usize, line.parts.len(), "{}", line.id);
        ids.extend(line.parts.iter().cloned());
    }
    assert_eq!(ids, spec.parts());
    kit
}

#[test]
fn quantities_are_those_of_an_independent_count() {
    for name in DEMOS {
        counted(&embedded(name).unwrap().text);
    }
}

/// By hand, from the spec of the flywheel: 2·6 nuts; a tenth of 12 is 1.2, so two spares; a tenth of 6 rods, so one of each length.
/// 35 rods of 85 to 117 mm with 2 mm of saw cut: 7·(87 + 95 + 103 + 111 + 119) = 3605 mm, so four bars at least.
#[test]
fn spares_and_bars_follow_their_rules() {
    let kit = packed(&demo("flywheel"));
    let line = |id: &str| kit.lines.iter().find(|l| l.id == id).unwrap_or_else(|| panic!("no {id}"));
    assert_eq!((line("nut-m8-rods").quantity, line("spare-nut-m8-rods").quantity), (12, 2));
    assert_eq!((line("rod-m8-108-rods").quantity, line("spare-rod-m8-108-rods").quantity), (6, 1));
    assert_eq!(line("threaded-bar-m8-1000-rods").quantity, 4);
    assert!(line("rod-m8-108-rods").note.as_ref().unwrap().contains("saw to 109 mm"));
    assert_eq!(line("nut-m8-rods").class.as_deref(), Some("8 or higher"));
    for spare in kit.lines.iter().filter(|l| l.kind == Kind::Spare) {
        assert!(spare.basis.as_ref().unwrap().contains("common practice") && !spare.required, "{}", spare.id);
    }
}
