package cleaned

import (
	"fmt"
	"strings"
)

// readme is README.txt, with lines that end as notepads expect.
func (b *book) readme() []byte {
	m := b.method()
	var s strings.Builder
	fmt.Fprintf(&s, "%s\n\n", clean(b.names.in(b.session.Title)))
	fmt.Fprintf(&s, "A cleaned session of countermovement jumps on force plates, written by %s %s", m.Program, m.Version)
	if at := b.created(); !at.IsZero() {
		fmt.Fprintf(&s, ", %s UTC", at.Format("2006-01-02 15:04"))
	}
	fmt.Fprintf(&s, ".\n%d reps kept, %d rejected, %d undecided.\n", m.Kept, m.Rejected, m.Open)
	s.WriteString(readmeText)
	return []byte(strings.ReplaceAll(s.String(), "\n", "\r\n"))
}

const readmeText = `
WHAT IS IN IT
  reps.csv       every rep, rejected and undecided ones too, with the decision and its reason
  metrics.csv    one row a kept rep; NAME_plus_minus is the half-width of a 95 % interval
  landmarks.csv  the instants that the metrics are taken between, of kept reps
  findings.csv   what the checks found, of every rep
  decisions.csv  every decision that was made, those that were taken back too
  force/         the samples of each kept rep
  datapackage.json  what each column holds and in which unit, the method and its limits, where everything came from

HOW TO READ IT
  The files are comma-separated, with a decimal point, in UTF-8. An empty cell means: not known. Times of the day are
  UTC; times in seconds are on the recording's own clock. Force is in newtons, upward is positive. Asymmetry is
  (left - right) / (left + right) x 100 %, so positive means that left is larger.
  R:       read.csv(unz("NAME.session.zip", "metrics.csv"))
  Python:  pandas.read_csv(zipfile.ZipFile("NAME.session.zip").open("metrics.csv"))
  A spreadsheet program that expects decimal commas spoils such files: have the workbook written too (--xlsx).
  The whole is a Data Package (datapackage.org, version 2).

TEXT THAT BEGINS LIKE A FORMULA
  Spreadsheet programs run a cell that begins with = + - or @. Where a file name, a note or other text does, an
  apostrophe (') was put before it; take it away to have the text as it was. A semicolon before one of these became a
  comma. Control characters became blanks.

CAUTIONS
  Maximal jumping can hurt: warm up first, stop on pain, and do not jump on an injured or recently operated limb unless a
  qualified person has cleared it.
  A verdict is about a recording. It is no diagnosis, and it says nothing about returning to play.
  Follow the rules of your place and the practice you are licensed for.
  Data about athletes are personal: keep them safe, share them only with those who may have them.
`
