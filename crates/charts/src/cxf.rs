use std::collections::BTreeMap;

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use crate::log::Log;
use crate::table::{Keyword, Row, Table};
use crate::{ChartFault, ChartRemark};

/// Elements in elements. CxF3 needs about ten; our choice leaves room for what others add.
const DEEPEST: usize = 64;

/// Reads CxF3 into a table: a row for each object that has device values, or for each object where
/// none has.
///
/// Names of elements are compared without their namespace prefix. No entity but the five of XML is
/// known and no document type is taken, so that a file can't grow while it is read.
///
/// Source: ISO 17972-1:2015, CxF3, from memory.
pub(crate) fn read_xml(text: &str, log: &mut Log) -> Option<Table> {
    let mut reading = Reading::default();
    let mut reader = Reader::from_str(text);
    let lines = Lines::of(text);
    loop {
        let event = reader.read_event();
        let line = lines.at(reader.buffer_position());
        match event {
            Err(refusal) => {
                log.fault(line, ChartFault::Xml { detail: refusal.to_string() });
                return None;
            }
            Ok(Event::Eof) => break,
            Ok(Event::DocType(_)) => {
                log.fault(line, ChartFault::DocumentType);
                return None;
            }
            Ok(Event::Start(element)) => {
                reading.open(&element, line);
                if reading.path.len() > DEEPEST {
                    let (depth, most) = (reading.path.len(), DEEPEST);
                    log.fault(line, ChartFault::TooDeep { depth, most });
                    return None;
                }
            }
            Ok(Event::Empty(element)) => {
                reading.open(&element, line);
                reading.close();
            }
            Ok(Event::Text(text)) => reading.text.push_str(&text),
            Ok(Event::CData(text)) => reading.text.push_str(&text),
            Ok(Event::GeneralRef(reference)) => match entity(&reference) {
                Some(character) => reading.text.push(character),
                None => {
                    let detail = format!("entity `{}` is not defined", &*reference);
                    log.fault(line, ChartFault::Xml { detail });
                    return None;
                }
            },
            Ok(Event::End(_)) => reading.close(),
            Ok(_) => {}
        }
    }
    if !reading.is_cxf {
        log.fault(1, ChartFault::UnknownForm);
    } else if !reading.path.is_empty() {
        log.fault(lines.count(), ChartFault::CutOff { missing: "the end of its elements" });
    }
    log.is_clean().then(|| reading.table(log)).flatten()
}

/// The characters that XML itself names, and those given by number.
fn entity(name: &str) -> Option<char> {
    match name {
        "amp" => Some('&'),
        "lt" => Some('<'),
        "gt" => Some('>'),
        "quot" => Some('"'),
        "apos" => Some('\''),
        number => {
            let digits = number.strip_prefix('#')?;
            let code = match digits.strip_prefix('x') {
                Some(hexadecimal) => u32::from_str_radix(hexadecimal, 16).ok()?,
                None => digits.parse().ok()?,
            };
            char::from_u32(code)
        }
    }
}

/// Where the lines of a text begin.
struct Lines(Vec<u64>);

impl Lines {
    fn of(text: &str) -> Self {
        let ends = text.bytes().zip(1..).filter(|(byte, _)| *byte == b'\n').map(|(_, at)| at);
        Self(ends.collect())
    }

    fn at(&self, position: u64) -> usize {
        self.0.partition_point(|end| *end < position) + 1
    }

    const fn count(&self) -> usize {
        self.0.len() + 1
    }
}

/// What has been read so far.
#[derive(Default)]
struct Reading {
    is_cxf: bool,
    /// Local names of the open elements.
    path: Vec<String>,
    /// Text of the innermost element.
    text: String,
    objects: Vec<Object>,
    object: Option<Object>,
    /// Colour specifications by their Id.
    specifications: BTreeMap<String, Specification>,
    /// The one that is being read.
    specification: String,
    /// Name of the spot colour that is being read.
    spot: String,
    /// Attributes of the spectrum that is being read.
    spectrum: Spectrum,
    title: Option<String>,
}

/// How values were measured.
#[derive(Clone, Default)]
struct Specification {
    /// Where wavelengths begin and their distance, in nanometres.
    first: Option<f64>,
    step: Option<f64>,
    condition: Option<String>,
    backing: Option<String>,
    illuminant: Option<String>,
    observer: Option<String>,
}

#[derive(Clone, Default)]
struct Spectrum {
    specification: String,
    first: Option<f64>,
    step: Option<f64>,
}

/// One patch.
#[derive(Default)]
struct Object {
    line: usize,
    name: String,
    /// Device values in percent by ink, in the order of the file.
    device: Vec<(String, String)>,
    /// Other values by column.
    cells: BTreeMap<String, String>,
    /// One for each measurement condition.
    spectra: Vec<(Spectrum, Vec<String>)>,
    /// Specification of the tristimulus values or CIELAB.
    colour_specification: String,
}

/// Measurement conditions of ISO 13655 in the order in which they are preferred: prints are looked at
/// in daylight with its ultraviolet (ISO 3664), which M1 has.
const CONDITIONS: [&str; 4] = ["M1", "M0", "M2", "M3"];
const PROCESS: [&str; 4] = ["Cyan", "Magenta", "Yellow", "Black"];

impl Reading {
    fn open(&mut self, element: &BytesStart<'_>, line: usize) {
        let name = element.local_name().as_ref().to_owned();
        self.is_cxf |= self.path.is_empty() && name == "CxF";
        let attribute = |wanted: &str| -> Option<String> {
            let mut attributes = element.attributes().flatten();
            let found = attributes.find(|a| a.key.local_name().as_ref() == wanted)?;
            Some(found.value.into_owned())
        };
        let number = |wanted: &str| attribute(wanted)?.trim().parse().ok();
        match name.as_str() {
            "Object" => {
                let name = attribute("Name").or_else(|| attribute("Id")).unwrap_or_default();
                self.object = Some(Object { line, name, ..Object::default() });
            }
            "ColorSpecification" if !self.path.iter().any(|open| open == "Object") => {
                self.specification = attribute("Id").unwrap_or_default();
            }
            "WavelengthRange" => {
                let (first, step) = (number("StartWL"), number("Increment"));
                let specification = self.specification();
                (specification.first, specification.step) = (first, step);
            }
            "ReflectanceSpectrum" => {
                self.spectrum = Spectrum {
                    specification: attribute("ColorSpecification").unwrap_or_default(),
                    first: number("StartWL"),
                    step: number("Increment"),
                };
            }
            "ColorCIEXYZ" | "ColorCIELab" => {
                if let Some(object) = &mut self.object {
                    object.colour_specification =
                        attribute("ColorSpecification").unwrap_or_default();
                }
            }
            "SpotColor" => self.spot = attribute("Name").unwrap_or_default(),
            _ => {}
        }
        self.path.push(name);
        self.text.clear();
    }

    fn close(&mut self) {
        let Some(name) = self.path.pop() else { return };
        let text = std::mem::take(&mut self.text).trim().to_owned();
        let parent = self.path.last().map_or("", String::as_str);
        match (name.as_str(), parent) {
            ("Object", _) => self.objects.extend(self.object.take()),
            ("Name", "SpotColor") => self.spot = text,
            ("Description", "FileInformation") => self.title = Some(text),
            ("DeviceIllumination", _) => {
                let stated = CONDITIONS.into_iter().find(|condition| text.contains(condition));
                self.specification().condition = stated.map(str::to_owned);
            }
            ("Backing", "MeasurementSpec") => self.specification().backing = Some(text),
            ("Illuminant", "TristimulusSpec") => self.specification().illuminant = Some(text),
            ("Observer", "TristimulusSpec") => self.specification().observer = Some(text),
            _ => self.close_value(&name, &text),
        }
    }

    fn specification(&mut self) -> &mut Specification {
        self.specifications.entry(self.specification.clone()).or_default()
    }

    /// Values that belong to the open object.
    fn close_value(&mut self, name: &str, text: &str) {
        let parent = self.path.last().map_or("", String::as_str);
        let Some(object) = &mut self.object else { return };
        match (name, parent) {
            ("Cyan" | "Magenta" | "Yellow" | "Black", "ColorCMYK" | "ColorCMYKPlusN") => {
                object.device.push((name.to_owned(), text.to_owned()));
            }
            ("Percentage", "SpotColor") => {
                object.device.push((self.spot.clone(), text.to_owned()));
            }
            ("ReflectanceSpectrum", _) => {
                let values = text.split_whitespace().map(str::to_owned).collect();
                object.spectra.push((self.spectrum.clone(), values));
            }
            ("X" | "Y" | "Z", "ColorCIEXYZ") => {
                object.cells.insert(format!("XYZ_{name}"), text.to_owned());
            }
            ("L" | "A" | "B", "ColorCIELab") => {
                object.cells.insert(format!("LAB_{name}"), text.to_owned());
            }
            _ => {}
        }
    }

    /// A row for each object, in the columns of the first.
    fn table(mut self, log: &mut Log) -> Option<Table> {
        let has_device = self.objects.iter().any(|object| !object.device.is_empty());
        if has_device {
            let before = self.objects.len();
            self.objects.retain(|object| !object.device.is_empty());
            let count = before - self.objects.len();
            if count > 0 {
                log.remark(1, ChartRemark::ObjectsWithoutDevice { count });
            }
        }
        let Some(first) = self.objects.first() else {
            log.fault(1, ChartFault::NoPatches);
            return None;
        };
        let used = self.used_specification(first);
        if first.spectra.len() > 1 {
            let (count, used) = (first.spectra.len(), self.described(&used));
            log.remark(first.line, ChartRemark::SeveralSpectra { count, used });
        }
        let (columns, inks) = self.columns(first, &used);
        let mut table = Table {
            form: "CxF3".to_owned(),
            columns_line: first.line,
            keywords: self.keywords(&used),
            inks,
            ..Table::default()
        };
        for object in &self.objects {
            let cells = self.cells(object, &used);
            let row: Option<Vec<String>> = columns
                .iter()
                .map(|column| {
                    let cell = cells.iter().find(|(name, _)| name == column);
                    if cell.is_none() {
                        let (sample, column) = (object.name.clone(), column.clone());
                        log.fault(object.line, ChartFault::UnevenObjects { sample, column });
                    }
                    cell.map(|(_, value)| value.clone())
                })
                .collect();
            table.rows.extend(row.map(|cells| Row { line: object.line, cells }));
        }
        table.columns = columns;
        log.is_clean().then_some(table)
    }

    /// The specification whose values are used: of several spectra that of the light under which prints
    /// are looked at, else the first; of colours their own.
    fn used_specification(&self, first: &Object) -> String {
        let condition = |(spectrum, _): &(Spectrum, Vec<String>)| {
            let known = self.specifications.get(&spectrum.specification);
            known.and_then(|known| known.condition.clone()).unwrap_or_default()
        };
        let rank = |of: &(Spectrum, Vec<String>)| {
            CONDITIONS.iter().position(|c| *c == condition(of)).unwrap_or(CONDITIONS.len())
        };
        let used = first.spectra.iter().min_by_key(|spectrum| rank(spectrum));
        let used = used.map(|(spectrum, _)| &spectrum.specification);
        used.unwrap_or(&first.colour_specification).clone()
    }

    fn described(&self, used: &str) -> String {
        let condition = self.specifications.get(used).and_then(|known| known.condition.as_deref());
        condition.map_or_else(|| format!("the specification `{used}`"), str::to_owned)
    }

    fn keywords(&self, used: &str) -> Vec<Keyword> {
        let known = self.specifications.get(used).cloned().unwrap_or_default();
        let stated = [
            ("MEASUREMENT_CONDITION", &known.condition),
            ("SAMPLE_BACKING", &known.backing),
            ("ILLUMINANT", &known.illuminant),
            ("OBSERVER", &known.observer),
            ("FILE_DESCRIPTOR", &self.title),
        ];
        stated
            .into_iter()
            .filter_map(|(name, value)| {
                let value = value.clone()?;
                Some(Keyword { name: name.to_owned(), value, line: 1 })
            })
            .collect()
    }

    /// The columns of an object, and the inks' names where they are not the four of the process.
    fn columns(&self, object: &Object, used: &str) -> (Vec<String>, Vec<String>) {
        let names = self.cells(object, used).into_iter().map(|(name, _)| name).collect();
        let inks: Vec<String> = object.device.iter().map(|(ink, _)| ink.clone()).collect();
        let of_process = inks == PROCESS;
        let lower =
            |ink: String| if PROCESS.contains(&ink.as_str()) { ink.to_lowercase() } else { ink };
        (names, if of_process { Vec::new() } else { inks.into_iter().map(lower).collect() })
    }

    /// The values of an object by the names of CGATS columns.
    fn cells(&self, object: &Object, used: &str) -> Vec<(String, String)> {
        let mut cells = vec![("SAMPLE_NAME".to_owned(), object.name.clone())];
        let count = object.device.len();
        let of_process = object.device.iter().map(|(ink, _)| ink.as_str()).eq(PROCESS);
        for (place, (ink, value)) in object.device.iter().enumerate() {
            let column = match (of_process, ink.as_str()) {
                (true, "Black") => "CMYK_K".to_owned(),
                (true, ink) => format!("CMYK_{}", &ink[..1]),
                (false, _) => format!("{count:X}CLR_{:X}", place + 1),
            };
            cells.push((column, value.clone()));
        }
        let upper = |name: &String| name.to_uppercase();
        cells.extend(object.cells.iter().map(|(name, value)| (upper(name), value.clone())));
        let is_used = |(spectrum, _): &&(Spectrum, Vec<String>)| spectrum.specification == used;
        if let Some((spectrum, values)) = object.spectra.iter().find(is_used) {
            cells.extend(self.reflectances(spectrum, values));
        }
        cells
    }

    fn reflectances<'a>(
        &self,
        spectrum: &Spectrum,
        values: &'a [String],
    ) -> impl Iterator<Item = (String, String)> + use<'a> {
        /// CxF3 spectra are by 10 nm unless they say otherwise.
        const STEP_NM: f64 = 10.0;
        let grid = self.specifications.get(&spectrum.specification).cloned().unwrap_or_default();
        let step = spectrum.step.or(grid.step).unwrap_or(STEP_NM);
        let mut nanometres = spectrum.first.or(grid.first).unwrap_or(colour::FIRST_BAND_NM) - step;
        values.iter().map(move |value| {
            nanometres += step;
            (format!("SPECTRAL_{nanometres}"), value.clone())
        })
    }
}
