//! How the page looks: black on white, boxes and rules, nothing that needs colour.

/// The style sheet. Lengths on paper are in mm and pt, so that it prints as it is meant.
pub const SHEET: &str = "
@page { margin: 10mm 11mm; }
* { box-sizing: border-box; }
html { background: #fff; color: #000; }
body { margin: 0; font: 9pt/1.28 'Liberation Sans', Arial, Helvetica, sans-serif; }
main { max-width: 188mm; margin: 0 auto; overflow-wrap: anywhere; }
@media screen { main { padding: 6mm 4mm; max-width: 196mm; } }
h1, h2, h3, p, ul, ol, dl, dd, figure, table { margin: 0; padding: 0; }
h1 { font-size: 15pt; line-height: 1.15; }
h2 { font-size: 9.5pt; margin: 2.1mm 0 .8mm; border-top: .5mm solid #000; padding-top: .8mm;
  break-after: avoid; }
h3 { font-size: 9pt; break-after: avoid; }
ul, ol { list-style: none; }
svg, img { display: block; max-width: 100%; }
img { width: 100%; height: auto; }
.stop { border: .9mm solid #000; padding: 1.4mm 2.2mm 1.6mm; break-inside: avoid; }
.stop h2 { border: 0; margin: 0 0 .6mm; padding: 0; font-size: 12pt; }
.stop li { padding-left: 6mm; text-indent: -6mm; margin-top: .5mm; }
.stop li small { color: #000; }
.box { display: inline-block; width: 3.6mm; height: 3.6mm; border: .35mm solid #000;
  vertical-align: -.55mm; text-indent: 0; margin-right: 2.1mm; flex: none; }
.care { font-size: 7.6pt; line-height: 1.22; margin-top: 1mm; }
.piece { display: grid; grid-template-columns: minmax(0, 1fr) auto; gap: 0 5mm; margin-top: 2mm;
  break-inside: avoid; }
.piece .when { text-align: right; white-space: nowrap; }
.piece .when bdi { white-space: normal; }
.facts { grid-column: 1 / -1; }
.facts b { font-weight: bold; }
.pours { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 2mm 2.5mm;
  margin-top: 2mm; align-items: stretch; }
.pours.three { grid-template-columns: repeat(3, minmax(0, 1fr)); }
.pour { border: .4mm solid #000; padding: 1.1mm 2mm 1.4mm; break-inside: avoid; display: flex;
  flex-direction: column; }
.pour.wide { grid-column: 1 / -1; }
.pour header { display: flex; gap: 2mm; align-items: baseline; border-bottom: .25mm solid #000;
  padding-bottom: .6mm; margin-bottom: .6mm; }
.pour header .number { font-size: 17pt; font-weight: bold; line-height: 1; flex: none; }
.pour header { font-size: 8.4pt; line-height: 1.1; }
.pour header h2 { font-size: 11pt; flex: none; border: 0; margin: 0; padding: 0; }
.pour header span { min-width: 0; }
.pour table { border-collapse: collapse; width: 100%; }
.pour th { font-weight: normal; font-size: 7.5pt; text-align: right; padding: 0; }
.pour th:first-child, .pour td:first-child { text-align: left; }
.pour td { text-align: right; padding: 0; white-space: nowrap; vertical-align: middle; }
.pour td:first-child { white-space: normal; font-size: 10pt; line-height: 1.1; padding-right: 1mm; }
.pour td.grams { font-size: 17pt; font-weight: bold; line-height: 1.08;
  font-variant-numeric: tabular-nums; }
.pour td.grams small { font-size: 10pt; }
.pour td.reads { font-size: 10.5pt; padding-left: 2mm; font-variant-numeric: tabular-nums; }
.pour tr + tr td { border-top: .15mm solid #777; }
.pour p { margin-top: .5mm; font-size: 8.3pt; }
.pour .cups { font-size: 8.3pt; }
.pour .mark { font-weight: bold; }
.cups { display: grid; grid-template-columns: repeat(auto-fit, minmax(30mm, 1fr)); gap: .4mm 2mm;
  margin-top: .8mm; }
.cups li { display: flex; align-items: baseline; font-variant-numeric: tabular-nums; }
.cups .box { align-self: center; margin-right: 1.4mm; }
.blanks { display: grid; grid-template-columns: repeat(auto-fill, minmax(23mm, 1fr)); gap: .8mm 2.5mm;
  margin-top: auto; padding-top: 1.2mm; font-size: 7.6pt; }
.blanks span { display: flex; align-items: end; white-space: nowrap; }
.blanks i { flex: 1; border-bottom: .25mm solid #000; margin-left: 1mm; height: 4mm; }
.beside { display: grid; grid-template-columns: 58mm minmax(0, 1fr); gap: 0 5mm; }
.beside .cups { grid-template-columns: repeat(auto-fit, minmax(36mm, 1fr)); line-height: 1.12; }
.beside > div { display: flex; flex-direction: column; }
.none { grid-column: 1 / -1; }
.times { columns: 3; column-gap: 5mm; font-size: 8.2pt; line-height: 1.2; }
.times li { display: grid; grid-template-columns: 19mm minmax(0, 1fr); gap: 0 1.5mm;
  break-inside: avoid; }
.times li > b { font-variant-numeric: tabular-nums; }
.order { break-inside: avoid; }
.band { margin: .8mm 0 1mm; }
.halves dl > div { display: grid; grid-template-columns: 12mm minmax(0, 1fr); gap: 0 1.5mm; }
.halves dt { font-weight: bold; }
.halves dl { font-size: 8.2pt; line-height: 1.2; }
.alert { font-weight: bold; text-decoration: underline; }
.split { break-inside: avoid; }
.two { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 2mm 5mm;
  break-inside: avoid; }
.views { display: grid; grid-template-columns: repeat(4, minmax(0, 1fr)); gap: 1mm 3mm;
  break-inside: avoid; }
.many footer { font-size: 6.4pt; }
.others { display: grid; grid-template-columns: repeat(3, minmax(0, 1fr)); gap: 1mm 3mm; }
.others figcaption { font-size: 8pt; }
.many .views li { font-size: 6.6pt; line-height: 1.05; }
.many .views figcaption { line-height: 1.1; }
.many .views li svg { width: 4.5mm; }
.many .stick svg { width: 60mm; height: auto; }
.many .views figure { display: grid; grid-template-columns: 21mm minmax(0, 1fr); gap: 0 1.5mm;
  align-items: start; }
.many h2 { margin-top: 1mm; padding-top: .5mm; margin-bottom: .5mm; }
.many .small { columns: 3; font-size: 6.3pt; line-height: 1.1; }
.views figcaption { font-size: 8pt; }
.views li { display: flex; gap: 1.5mm; align-items: center; font-size: 7.6pt; }
.views li svg { flex: none; }
.correct dl > div { display: grid; grid-template-columns: 10mm minmax(0, 1fr); gap: 0 1.5mm; }
.correct dt { font-weight: bold; }
.correct dl { font-size: 8.2pt; }
.small { font-size: 6.9pt; line-height: 1.17; columns: 2; column-gap: 5mm; }
.small section { margin-bottom: 1.1mm; }
.small h3 { font-size: 7.6pt; }
.small dl > div { display: grid; grid-template-columns: 13mm minmax(0, 1fr); gap: 0 1.5mm;
  break-inside: avoid; }
.small dt { font-weight: bold; }
.small li { margin-top: .35mm; }
.many .small section { margin-bottom: .6mm; }
.many .small h3 { font-size: 7pt; line-height: 1.15; }
.many .order .times { line-height: 1.1; }
.lines { white-space: pre-wrap; font-family: 'Liberation Mono', monospace; font-size: 7pt; }
.lots { font-size: 8.2pt; line-height: 1.2; margin-bottom: .8mm; }
.lots ul { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: .6mm 3mm; }
.lots li { display: flex; align-items: end; }
.lots li i { flex: 1; min-width: 12mm; border-bottom: .25mm solid #000; margin-left: 1mm; height: 4mm; }
.many .correct dl, .many .lots { font-size: 7.4pt; line-height: 1.13; }
.many .lots li i { height: 3.6mm; }
footer { font-size: 7pt; line-height: 1.15; margin-top: 1mm; border-top: .25mm solid #000; padding-top: .5mm; }
";
