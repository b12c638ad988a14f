package review

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"plateside/curve"
	"plateside/quality"
	"plateside/tui/theme"
)

// The least size that the screen works in.
const (
	leastWidth  = 80
	leastHeight = 24
)

// View returns the whole screen: height rows of width cells.
func (m *Model) View() string {
	if m.width == 0 {
		return ""
	}
	if m.width < leastWidth || m.height < leastHeight {
		return fmt.Sprintf("plateside needs %d x %d cells; this window has %d x %d.\nMake it larger, or use a smaller font.", leastWidth, leastHeight, m.width, m.height)
	}
	if m.help != nil {
		return m.helpPage()
	}
	rows := append(m.head(), m.body()...)
	return strings.Join(append(rows, m.foot()), "\n")
}

// headRows is how many rows the head takes.
const headRows = 4

// listWidth is the width of the list on the left.
func (m *Model) listWidth() int {
	switch {
	case m.width < 100:
		return 25
	case m.width < 150:
		return 31
	}
	return 38
}

// listHeight is how many rows of the list are seen.
func (m *Model) listHeight() int { return m.height - headRows - 1 }

// head returns the title, the call, the cue and the line below them.
func (m *Model) head() []string {
	t := m.opt.Theme
	title := m.words(m.session.Title)
	room := m.width - min(ansi.StringWidth(title), leastTitle) - 1
	call, cue := m.call()
	return []string{ends(title, m.counts(room), m.width, t.Bold.Paint, t.Dim.Paint), call, cue, m.ruleLine()}
}

// leastTitle is how much of the title is kept when the counts need room, in cells.
const leastTitle = 16

// counts says how many reps stand where, and what the list shows; in fewer words where there is little room.
func (m *Model) counts(room int) string {
	c := m.session.Count()
	var parts []string
	if m.loading {
		parts = append(parts, fmt.Sprintf("reading %d of %d", m.read, m.total))
	}
	if m.filter != filterAll {
		parts = append(parts, "list: "+m.filter.String())
	}
	if n := len(m.marks); n > 0 {
		parts = append(parts, fmt.Sprintf("%d marked", n))
	}
	tail := []string{many(len(m.session.Reps), "rep"), fmt.Sprintf("%d kept", c.Kept), fmt.Sprintf("%d rejected", c.Rejected), fmt.Sprintf("%d open", c.Open)}
	if n := len(m.session.Refused); n > 0 {
		tail = append(tail, fmt.Sprintf("%d refused", n))
	}
	long := strings.Join(append(parts, tail...), "   ")
	if ansi.StringWidth(long) <= room {
		return long
	}
	if medium := strings.Join(append(parts, tail...), "  "); ansi.StringWidth(medium) <= room {
		return medium
	}
	return strings.Join(append(parts, tail[1:4]...), "  ")
}

// call returns the two lines that say what to do: the verdict in large plain words with its reason, then the cue.
func (m *Model) call() (call, cue string) {
	t := m.opt.Theme
	sel := m.selected()
	switch {
	case m.failed != nil:
		return t.Redo.Paint(fit("the recordings could not be read: "+m.words(m.failed.Error()), m.width)), fit("", m.width)
	case sel.isRefused:
		return t.Dim.Paint(fit("  refused: "+m.words(sel.refused.Recording)+": "+m.words(sel.refused.Reason), m.width)),
			t.Dim.Paint(fit("  "+m.words(sel.refused.Hint), m.width))
	case sel.rep == nil && m.loading:
		return fit("  reading", m.width), fit("", m.width)
	case sel.rep == nil:
		return fit("  no recordings here: give a folder with csv, txt, tsv, dat, asc or c3d files", m.width), fit("", m.width)
	}
	if m.opt.Blind {
		lead := " " + t.Glyph.Open + " BLIND  "
		return t.Bold.Paint(lead) + ends(m.words(sel.rep.ID), m.decidedText(sel.rep), m.width-len([]rune(lead)), plain, t.Bold.Paint),
			t.Dim.Paint(fit("          judge by eye: verdicts, findings and others' decisions are hidden", m.width))
	}
	glyph, word, ink := verdictSign(t, sel.rep.Verdict)
	lead := " " + glyph + " " + word + "  "
	reason, say := m.reasonAndCue(sel.rep)
	decided := m.decidedText(sel.rep)
	call = ink.Paint(lead) + ends(reason, decided, m.width-len([]rune(lead)), plain, t.Bold.Paint)
	return call, t.Dim.Paint(fit(strings.Repeat(" ", len([]rune(lead)))+say, m.width))
}

func plain(s string) string { return s }

// verdictSign returns glyph, large words and style of a verdict.
func verdictSign(t theme.Theme, v quality.Verdict) (glyph, word string, ink theme.Style) {
	switch v {
	case quality.VerdictRedo:
		return t.Glyph.Redo, "JUMP AGAIN", t.Redo
	case quality.VerdictLook:
		return t.Glyph.Look, "LOOK", t.Look
	case quality.VerdictClear:
	}
	return t.Glyph.Clear, "CLEAR", t.Clear
}

// reasonAndCue returns what the worst finding says and what to say to the athlete.
func (m *Model) reasonAndCue(rep *quality.Rep) (reason, cue string) {
	worst, found := rep.Worst()
	if !found {
		cue = "Pain stops the test; this judges the recording alone."
		if d, _ := m.decision(rep); d.Choice != quality.Reject { // a person who rejected it saw what no check did
			cue = "say: \u201cGood.\u201d " + cue
		}
		return m.value(rep.Curve.Metric("jump_height_m"), 100, 1) + " cm", cue
	}
	message, _, _ := strings.Cut(worst.Message, ": ")
	say := rep.Say(m.opt.Cues)
	if say != "" {
		say = "say: \u201c" + say + "\u201d"
	} else if check, ok := quality.CheckNamed(worst.Check); ok {
		say = check.Remedy
	}
	return m.words(message), m.words(say)
}

// decidedText says what was decided about a rep and whether it is on disk.
func (m *Model) decidedText(rep *quality.Rep) string {
	d, saving := m.decision(rep)
	t := m.opt.Theme
	text := ""
	switch d.Choice {
	case quality.Keep:
		text = t.Glyph.Keep + " kept"
	case quality.Reject:
		text = t.Glyph.Reject + " rejected: " + m.words(d.Reason)
	case quality.Undecided:
		text = t.Glyph.Open + " open"
	}
	if m.onEarlierBytes(rep) {
		text += " (on earlier bytes)"
	}
	if rep.Gone {
		text += ", file gone"
	}
	switch {
	case saving && m.stuck != nil:
		text += " NOT SAVED"
	case saving:
		text += " saving"
	}
	return text
}

// body returns the list beside the selected page.
func (m *Model) body() []string {
	left, high := m.listWidth(), m.listHeight()
	list := m.list(left, high)
	page := m.right(m.width-left-1, high)
	rows := make([]string, high)
	for i := range rows {
		rows[i] = list[i] + " " + page[i]
	}
	return rows
}

// list returns the rows of the table of contents that are in sight.
func (m *Model) list(width, high int) []string {
	t := m.opt.Theme
	top := m.listTop()
	rows := make([]string, 0, high)
	for i := top; i < len(m.rows) && len(rows) < high; i++ {
		r := m.rows[i]
		switch {
		case r.heading != "":
			rows = append(rows, t.Dim.Paint(fit(r.heading, width)))
		case r.isRefused:
			rows = append(rows, m.listed(i, t.Glyph.Dash, "refused", "", width, t.Dim))
		default:
			glyph, word, ink := m.standing(r.rep)
			height := t.Glyph.Dash
			if v := r.rep.Curve.Metric("jump_height_m"); v.Known() {
				height = fmt.Sprintf("%.1f", v.Value*100)
			}
			rows = append(rows, m.listed(i, glyph, word, height, width, ink))
		}
	}
	for _, name := range m.arriving {
		if len(rows) < high {
			rows = append(rows, t.Dim.Paint(fit("arriving: "+m.words(name), width)))
		}
	}
	for len(rows) < high {
		rows = append(rows, strings.Repeat(" ", width))
	}
	return rows
}

// listTop is the first row of the list that is in sight.
func (m *Model) listTop() int {
	high := m.listHeight()
	if len(m.rows) <= high {
		return 0
	}
	return max(0, min(m.at-high/2, len(m.rows)-high))
}

// standing is what the list says of a rep: the decision, else the verdict.
func (m *Model) standing(rep *quality.Rep) (glyph, word string, ink theme.Style) {
	t := m.opt.Theme
	d, _ := m.decision(rep)
	switch d.Choice {
	case quality.Keep:
		return t.Glyph.Keep, "kept", t.Kept
	case quality.Reject:
		return t.Glyph.Reject, "rejected", t.Rejected
	case quality.Undecided:
	}
	if m.opt.Blind {
		return t.Glyph.Open, "open", t.Normal
	}
	glyph, _, ink = verdictSign(t, rep.Verdict)
	return glyph, rep.Verdict.String(), ink
}

// findings are what the screen may say of a rep.
func (m *Model) findings(rep *quality.Rep) []quality.Finding {
	if m.opt.Blind {
		return nil
	}
	return rep.Findings
}

// shortWord is a word of the list for a narrow one.
func shortWord(word string) string {
	switch word {
	case "rejected":
		return "reject"
	case "refused":
		return "unread"
	}
	return word
}

// roomyList is the width of the list from which words are written whole, in cells.
const roomyList = 30

// listed is one line of the list: sign of the selection, label, glyph and word, height.
func (m *Model) listed(i int, glyph, word, height string, width int, ink theme.Style) string {
	t := m.opt.Theme
	wordWidth, heightWidth := 10, 6
	if width < roomyList {
		wordWidth, heightWidth = 8, 5
		word = shortWord(word)
	}
	label := fitMiddle(m.rows[i].label, width-2-wordWidth-1-heightWidth)
	tail := fmt.Sprintf("%*s", heightWidth, height)
	state := fit(glyph+" "+word, wordWidth)
	sign := "  "
	if r := m.rows[i].rep; r != nil && m.marks[r.Key()] {
		sign = t.Glyph.Marked + " "
	}
	if i == m.at {
		if sign == "  " {
			sign = t.Glyph.Selected + " "
		}
		return t.Accent.Paint(sign+label) + " " + ink.Paint(state) + t.Bold.Paint(tail)
	}
	return sign + label + " " + ink.Paint(state) + tail
}

// right returns the page beside the list, drawn anew only when something that it depends on has changed.
func (m *Model) right(width, high int) []string {
	if p := m.picture; p != nil && p.width == width && p.height == high && p.cursor == m.cursor {
		return p.rows
	}
	rows := m.pageRows(width, high)
	for i := range rows {
		rows[i] = pad(rows[i], width)
	}
	for len(rows) < high {
		rows = append(rows, strings.Repeat(" ", width))
	}
	if over := len(rows) - high; m.page == pageNumbers && over > 0 {
		rows = m.scrolledRows(rows, width, high)
	}
	rows = rows[:high]
	m.picture = &picture{width: width, height: high, cursor: m.cursor, rows: rows}
	return rows
}

// scrolledRows is what is in sight of rows that do not fit.
func (m *Model) scrolledRows(rows []string, width, high int) []string {
	over := len(rows) - high
	m.scrolled = min(m.scrolled, over)
	rows = rows[m.scrolled:]
	if m.scrolled < over {
		rows[high-1] = m.opt.Theme.Dim.Paint(pad("more: PgDn, PgUp", width))
	}
	return rows
}

// pageRows lays out the selected page.
func (m *Model) pageRows(width, high int) []string {
	sel := m.selected()
	switch {
	case sel.isRefused:
		return m.refusedPage(sel.refused, width)
	case sel.rep == nil:
		return nil
	case m.page == pageNumbers:
		return m.numbers(sel.rep, width)
	case m.page == pageReps:
		return m.allReps(width, high)
	case m.samples.key != sel.rep.Key():
		return []string{m.opt.Theme.Dim.Paint("reading the curve")}
	case m.samples.err != nil:
		return wrap("the curve cannot be drawn: "+m.words(m.samples.err.Error()), width)
	case m.samples.rec == nil:
		return []string{m.opt.Theme.Dim.Paint("reading the curve")}
	}
	return m.curvePage(sel.rep, width, high)
}

// refusedPage says why a recording could not be read and what would help.
func (m *Model) refusedPage(r quality.Refused, width int) []string {
	rows := []string{m.opt.Theme.Bold.Paint(fit(m.words(r.Recording), width)), ""}
	rows = append(rows, wrap("It was refused: "+m.words(r.Reason)+".", width)...)
	if r.Hint != "" {
		rows = append(rows, wrap("What helps: "+m.words(r.Hint), width)...)
	}
	return append(rows, "", m.opt.Theme.Dim.Paint(fit("'plateside inspect FILE' shows how it was understood", width)))
}

// roomyHeight is the height of the page from which everything has its place at once.
const roomyHeight = 30

// curvePage lays out curve, phases, stance, numbers and findings.
func (m *Model) curvePage(rep *quality.Rep, width, high int) []string {
	stanceHigh, below, stripHigh := 4, 3, 0
	if high >= roomyHeight {
		stanceHigh, below = 6, 9
		if m.strip != stripNone {
			below, stripHigh = 5, 6
		}
	}
	curveHigh := high - 1 - 1 - 1 - stanceHigh - 1 - below - stripHigh
	a := m.axesOf(rep)
	var rows []string
	switch {
	case m.strip != stripNone && stripHigh == 0: // no room for both: the strip takes the curve's place
		rows = m.stripPlot(rep, a, width, curveHigh+1)
	case m.lines == linesLanes && m.samples.rec.HasSides():
		rows = append([]string{m.curveHeading(rep, a, width)}, m.lanes(rep, a, width, curveHigh)...)
	default:
		rows = append([]string{m.curveHeading(rep, a, width)}, m.curvePlot(rep, a, width, curveHigh)...)
	}
	rows = append(rows, m.phaseStrip(rep, a, width))
	if stripHigh > 0 {
		rows = append(rows, m.stripPlot(rep, a, width, stripHigh)...)
	}
	rows = append(rows, m.stanceHeading(rep, width))
	rows = append(rows, m.stancePlot(rep, width, stanceHigh)...)
	rows = append(rows, m.stanceBar(rep, width))
	if below > 4 && stripHigh == 0 {
		rows = append(rows, "")
	}
	return append(rows, m.below(rep, width, high-len(rows))...)
}

// below returns the main numbers and as many findings as there is room for.
func (m *Model) below(rep *quality.Rep, width, high int) []string {
	var rows []string
	if m.cursor >= 0 {
		rows = append(rows, m.readout(rep, width))
	} else {
		rows = append(rows, fit(m.mainNumbers(rep, width), width))
	}
	if high > 4 {
		for _, words := range []string{m.shapeWords(rep), m.sideWords(rep)} {
			if words != "" {
				rows = append(rows, fit(words, width))
			}
		}
	}
	for _, f := range m.findings(rep) {
		lines := wrap(m.words(f.Message), width-len(f.Check)-3)
		for i, line := range lines {
			name := strings.Repeat(" ", len(f.Check)+2)
			if i == 0 {
				name = m.findingInk(f).Paint(f.Check) + "  "
			}
			rows = append(rows, name+line)
		}
	}
	for _, n := range m.remarks(rep) {
		rows = append(rows, m.opt.Theme.Dim.Paint(fit(m.words(n), width)))
	}
	if len(rows) > high && high > 0 {
		rows = rows[:high]
		rows[high-1] = m.opt.Theme.Dim.Paint(fit("more on the next page (Tab)", width))
	}
	return rows
}

// remarks are the plain facts about a rep and its file.
func (m *Model) remarks(rep *quality.Rep) []string {
	var out []string
	if rep.CopyOf != "" {
		out = append(out, "the same bytes as "+rep.CopyOf+": one decision holds for both")
	}
	if d, _ := m.decision(rep); d.Note != "" {
		out = append(out, "note: "+d.Note)
	}
	return append(append(out, rep.Notes...), rep.Remarks...)
}

func (m *Model) findingInk(f quality.Finding) theme.Style {
	if f.Severity == quality.Redo {
		return m.opt.Theme.Redo
	}
	return m.opt.Theme.Look
}

// mainNumbers is the line of numbers that a tester reads first.
func (m *Model) mainNumbers(rep *quality.Rep, width int) string {
	c := rep.Curve
	parts := []string{
		"height " + m.value(c.Metric("jump_height_m"), 100, 1) + " cm",
		"to takeoff " + m.value(c.Metric("time_to_takeoff_s"), 1000, 0) + " ms",
		"depth " + m.value(c.Metric("depth_m"), 100, 1) + " cm",
		"weight " + m.value(c.Metric("body_weight_n"), 1, 1) + " N",
		"by flight " + m.value(c.Metric("flight_height_m"), 100, 1) + " cm",
		"RSImod " + m.value(c.Metric("rsi_modified"), 1, 2),
		"peak power " + m.value(c.Metric("peak_power_wkg"), 1, 1) + " W/kg",
	}
	line := parts[0]
	for _, p := range parts[1:] {
		if len([]rune(line))+3+len([]rune(p)) > width {
			break
		}
		line += "   " + p
	}
	return line
}

// leaning says which side is larger and by how much.
func leaning(pct float64) string {
	switch {
	case math.Abs(pct) < 0.5:
		return "even"
	case pct > 0:
		return fmt.Sprintf("left +%.0f %%", pct)
	}
	return fmt.Sprintf("right +%.0f %%", -pct)
}

// value writes a value with its half-width; a dash for one that is not known.
func (m *Model) value(v curve.Value, scale float64, decimals int) string {
	g := m.opt.Theme.Glyph
	if !v.Known() {
		return g.Dash
	}
	s := fmt.Sprintf("%.*f", decimals, v.Value*scale)
	if v.HasPlusMinus() {
		s += fmt.Sprintf(" %s%.*f", g.PlusMinus, decimals, v.PlusMinus*scale)
	}
	return s
}
