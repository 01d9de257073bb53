use inkfathom_charts::Measured;

use super::{read, refusal};

/// A CxF3 file of three patches, one of them without device values.
fn cxf(spot: &str) -> String {
    let object = |name: &str, cyan: u32, value: f64| {
        let values: Vec<String> =
            (0..36).map(|band| format!("{:.4}", value + 0.001 * f64::from(band))).collect();
        format!(
            "<cc:Object ObjectType=\"Target\" Name=\"{name}\" Id=\"{name}\"><cc:DeviceColorValues>\
             <cc:ColorCMYKPlusN><cc:Cyan>{cyan}</cc:Cyan><cc:Magenta>0</cc:Magenta>\
             <cc:Yellow>0</cc:Yellow><cc:Black>0</cc:Black>{spot}</cc:ColorCMYKPlusN>\
             </cc:DeviceColorValues>\n<cc:ColorValues>\
             <cc:ReflectanceSpectrum ColorSpecification=\"S\">{}</cc:ReflectanceSpectrum>\
             </cc:ColorValues></cc:Object>\n",
            values.join(" ")
        )
    };
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<cc:CxF xmlns:cc=\"x\">\n<cc:FileInformation>\
         <cc:Description>ramp &amp; paper</cc:Description></cc:FileInformation>\n<cc:Resources>\
         <cc:ObjectCollection>\n{}{}\
         <cc:Object Name=\"no patch\"><cc:ColorValues/></cc:Object>\
         </cc:ObjectCollection><cc:ColorSpecificationCollection><cc:ColorSpecification Id=\"S\">\
         <cc:MeasurementSpec><cc:WavelengthRange StartWL=\"380\" Increment=\"10\"/>\
         <cc:Device><cc:DeviceIllumination>M1_Daylight</cc:DeviceIllumination></cc:Device>\
         </cc:MeasurementSpec></cc:ColorSpecification></cc:ColorSpecificationCollection>\
         </cc:Resources>\n</cc:CxF>\n",
        object("paper", 0, 0.8),
        object("solid", 100, 0.1)
    )
}

const SPOT: &str =
    "<cc:SpotColor><cc:Name>orange</cc:Name><cc:Percentage>0</cc:Percentage></cc:SpotColor>";

#[test]
fn device_values_spectra_and_records_are_read() {
    let chart = read(&cxf(""));
    assert_eq!((chart.form.as_str(), chart.measured), ("CxF3", Measured::Spectra));
    assert_eq!(chart.title.as_deref(), Some("ramp & paper"));
    assert_eq!(chart.channels, ["cyan", "magenta", "yellow", "black"]);
    assert_eq!(chart.condition.as_deref(), Some("M1"));
    assert_eq!(chart.patches.len(), 2);
    assert_eq!(chart.patches[1].device[0].to_fraction(), 1.0);
    let spectrum = chart.patches[1].measurement.spectrum().unwrap();
    assert!((spectrum.bands()[35] - 0.135).abs() < 1e-9);
    assert!(chart.notices[0].to_string().contains("1 objects without device values"));
}

#[test]
fn spot_colours_are_channels_of_their_names() {
    let chart = read(&cxf(SPOT));
    assert_eq!(chart.channels, ["cyan", "magenta", "yellow", "black", "orange"]);
    assert_eq!(chart.patches[0].device.len(), 5);
}

#[test]
fn bombs_and_damage_are_refused() {
    let bomb =
        "<!DOCTYPE CxF [<!ENTITY a \"ha\"><!ENTITY b \"&a;&a;&a;&a;\">]>\n<cc:CxF xmlns:cc=\"x\">";
    let bombed = cxf("").replace("<cc:CxF xmlns:cc=\"x\">", bomb);
    assert!(refusal(&bombed).contains("line 2: the XML declares a document type"));
    let unknown = cxf("").replace("ramp &amp; paper", "&bomb;");
    assert!(refusal(&unknown).contains("entity `bomb` is not defined"));
    let deep = format!("<CxF>{}", "<a>".repeat(1000));
    assert!(refusal(&deep).contains("nested 65 deep, outside 1 to 64"), "{}", refusal(&deep));
    let cut = cxf("");
    let cut = &cut[..cut.len() - 100];
    assert!(refusal(cut).contains("line"), "{}", refusal(cut));
    let uneven = cxf("").replacen("<cc:Magenta>0</cc:Magenta>", "<cc:Magenta>x</cc:Magenta>", 1);
    assert!(refusal(&uneven).contains("CMYK_M of sample `paper` is `x`, not a number"));
    assert!(refusal("<CxF></CxF>").contains("holds 0 patches"));
}

/// Each object with another spectrum, of the condition M0, before its own.
fn with_second_spectra() -> String {
    let spectrum = "<cc:ReflectanceSpectrum ColorSpecification=\"S\">";
    let other =
        "<cc:ReflectanceSpectrum ColorSpecification=\"T\">0.5 0.5 0.5 0.5</cc:ReflectanceSpectrum>";
    let specification = "<cc:ColorSpecification Id=\"T\"><cc:MeasurementSpec>\
        <cc:Backing>black</cc:Backing><cc:WavelengthRange StartWL=\"400\" Increment=\"100\"/>\
        <cc:Device><cc:DeviceIllumination>M0_Incandescent</cc:DeviceIllumination></cc:Device>\
        </cc:MeasurementSpec></cc:ColorSpecification></cc:ColorSpecificationCollection>";
    cxf("")
        .replace(spectrum, &format!("{other}{spectrum}"))
        .replace("</cc:ColorSpecificationCollection>", specification)
}

#[test]
fn of_several_spectra_those_of_daylight_are_used_with_their_own_record() {
    let chart = read(&with_second_spectra());
    assert_eq!((chart.condition.as_deref(), chart.backing.as_deref()), (Some("M1"), None));
    let spectrum = chart.patches[0].measurement.spectrum().unwrap();
    assert!((spectrum.bands()[35] - 0.835).abs() < 1e-9);
    let says = |words: &str| chart.notices.iter().any(|notice| notice.to_string().contains(words));
    assert!(says("each object has 2 spectra: those of M1 are used"), "{:?}", chart.notices);
}

#[test]
fn colours_for_another_light_or_observer_are_refused() {
    let spectra = cxf("");
    let start = spectra.find("<cc:ReflectanceSpectrum").unwrap();
    let end = spectra.find("</cc:ReflectanceSpectrum>").unwrap() + 25;
    let xyz = "<cc:ColorCIEXYZ ColorSpecification=\"S\"><cc:X>80</cc:X><cc:Y>84</cc:Y><cc:Z>70</cc:Z>\
        </cc:ColorCIEXYZ>";
    let of_first = spectra[start..end].to_owned();
    let colours = spectra.replace(&of_first, xyz);
    let second = colours.find("<cc:ReflectanceSpectrum").unwrap();
    let end = colours.find("</cc:ReflectanceSpectrum>").unwrap() + 25;
    let colours = colours.replace(&colours[second..end].to_owned(), &xyz.replace('8', "1"));
    let for_light = |light: &str, observer: &str| {
        let specification = format!(
            "<cc:TristimulusSpec><cc:Illuminant>{light}</cc:Illuminant><cc:Observer>{observer}\
             </cc:Observer></cc:TristimulusSpec><cc:MeasurementSpec>"
        );
        colours.replace("<cc:MeasurementSpec>", &specification)
    };
    assert_eq!(read(&for_light("D50", "2_Degree")).measured, Measured::Tristimulus);
    assert!(refusal(&for_light("D65", "2_Degree")).contains("ILLUMINANT is `D65`"));
    assert!(refusal(&for_light("D50", "10_Degree")).contains("2° observer"));
}
