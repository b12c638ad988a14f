// Package keymap declares every key once: what it is pressed as, what it does, when it can be pressed and how help
// speaks of it. The reviewer, its help page and the README's table are made from the same rows.
package keymap

import (
	"fmt"
	"strings"
)

// An Action is what a key asks for.
type Action string

// The actions of the reviewer.
const (
	None       Action = ""
	Up         Action = "up"
	Down       Action = "down"
	PageUp     Action = "page-up"
	PageDown   Action = "page-down"
	First      Action = "first"
	Last       Action = "last"
	NextOpen   Action = "next-open"
	PrevOpen   Action = "previous-open"
	Keep       Action = "keep"
	Reject     Action = "reject"
	Reason     Action = "reason"
	Clear      Action = "clear"
	Undo       Action = "undo"
	Note       Action = "note"
	Write      Action = "write"
	View       Action = "view"
	Page       Action = "page"
	Lines      Action = "lines"
	Scale      Action = "scale"
	Unit       Action = "unit"
	CursorFwd  Action = "cursor-forward"
	CursorBack Action = "cursor-back"
	CursorNext Action = "cursor-next-landmark"
	CursorPrev Action = "cursor-previous-landmark"
	CursorOff  Action = "cursor-off"
	Strip      Action = "strip"
	Overlay    Action = "overlay"
	Align      Action = "align"
	Zoom       Action = "zoom"
	ZoomOut    Action = "zoom-out"
	Mark       Action = "mark"
	Unmark     Action = "unmark"
	KeepAll    Action = "keep-marked"
	RejectAll  Action = "reject-marked"
	Filter     Action = "filter"
	Mouse      Action = "mouse"
	Follow     Action = "follow"
	Retry      Action = "retry"
	Elsewhere  Action = "elsewhere"
	Help       Action = "help"
	Suspend    Action = "suspend"
	Quit       Action = "quit"
)

// A State is what decides whether a key can be pressed. Each field says what is the case.
type State struct {
	HasReps    bool // there is something to move to
	OnRep      bool // a rep, not a refused recording, is selected
	Decided    bool // the selected rep carries a decision
	JustReject bool // the last key rejected a rep, so a digit changes its reason
	CanUndo    bool
	Unsaved    bool // a decision could not be saved
	ReadOnly   string
	HasCurve   bool // the samples of the selected rep are there
	HasSides   bool
	CursorOn   bool
	Marked     int  // how many reps are marked
	MarkedThis bool // the selected rep is
	Zoomed     bool
}

// A Binding is one row: keys, action, words.
type Binding struct {
	Keys   []string // as the terminal library names them
	Action Action
	// Show is how the keys are written for people.
	Show string
	// Help says what the key does, Short the same in a word or two for the bottom line ("" keeps it off that line).
	Help, Short string
	Group       string
	// Why returns why the key cannot be pressed in a state, or "".
	Why func(State) string
}

// Bindings returns the keys of the reviewer, in the order of help.
func Bindings() []Binding {
	return []Binding{
		{Keys: []string{"up", "k"}, Action: Up, Show: "Up k", Help: "one rep up", Group: "move", Why: needReps},
		{Keys: []string{"down", "j"}, Action: Down, Show: "Down j", Help: "one rep down", Group: "move", Why: needReps},
		{Keys: []string{"pgup"}, Action: PageUp, Show: "PgUp", Help: "a page up", Group: "move", Why: needReps},
		{Keys: []string{"pgdown"}, Action: PageDown, Show: "PgDn", Help: "a page down", Group: "move", Why: needReps},
		{Keys: []string{"home", "g"}, Action: First, Show: "Home g", Help: "first rep", Group: "move", Why: needReps},
		{Keys: []string{"end", "G"}, Action: Last, Show: "End G", Help: "last rep", Group: "move", Why: needReps},
		{Keys: []string{"]"}, Action: NextOpen, Show: "]", Help: "next undecided rep", Group: "move", Why: needReps},
		{Keys: []string{"["}, Action: PrevOpen, Show: "[", Help: "previous undecided rep", Group: "move", Why: needReps},

		{Keys: []string{"y"}, Action: Keep, Show: "y", Help: "keep the rep, go to the next undecided one", Short: "keep", Group: "decide", Why: canDecide},
		{Keys: []string{"n"}, Action: Reject, Show: "n", Help: "reject the rep with the suggested reason, go on", Short: "reject", Group: "decide", Why: canDecide},
		{Keys: digits(), Action: Reason, Show: "1-9 0", Help: "after n: another reason, by its number", Group: "decide", Why: func(s State) string {
			return unless(s.JustReject, "a digit changes the reason right after a rejection (n)")
		}},
		{Keys: []string{"c"}, Action: Clear, Show: "c", Help: "clear the decision of this rep", Short: "clear", Group: "decide", Why: func(s State) string {
			if why := canDecide(s); why != "" {
				return why
			}
			return unless(s.Decided, "this rep carries no decision")
		}},
		{Keys: []string{"u"}, Action: Undo, Show: "u", Help: "undo the last decision, go back to its rep", Short: "undo", Group: "decide", Why: func(s State) string {
			return first(s.ReadOnly, unless(s.CanUndo, "there is no decision to undo"))
		}},
		{Keys: []string{"m"}, Action: Note, Show: "m", Help: "write a note to the rep", Group: "decide", Why: canDecide},
		{Keys: []string{"space"}, Action: Mark, Show: "Space", Help: "mark the rep, one down", Group: "decide", Why: canDecide},
		{Keys: []string{"-"}, Action: Unmark, Show: "-", Help: "take the mark off the rep", Group: "decide", Why: func(s State) string {
			return unless(s.MarkedThis, "this rep is not marked")
		}},
		{Keys: []string{"Y"}, Action: KeepAll, Show: "Y", Help: "keep all marked reps, as one decision", Group: "decide", Why: needMarks},
		{Keys: []string{"N"}, Action: RejectAll, Show: "N", Help: "reject all marked reps, as one decision", Group: "decide", Why: needMarks},
		{Keys: []string{"r"}, Action: Retry, Show: "r", Help: "try again to save what was NOT SAVED", Group: "decide", Why: func(s State) string {
			return unless(s.Unsaved, "everything is saved")
		}},
		{Keys: []string{"p"}, Action: Elsewhere, Show: "p", Help: "put what was NOT SAVED into your own folder instead", Group: "decide", Why: func(s State) string {
			return unless(s.Unsaved, "everything is saved")
		}},

		{Keys: []string{"v"}, Action: View, Show: "v", Help: "step through: jump, landing, whole rep", Short: "view", Group: "look", Why: needCurve},
		{Keys: []string{"l"}, Action: Lines, Show: "l", Help: "step through: all, left, right, total, lanes", Group: "look", Why: func(s State) string {
			return first(needCurve(s), unless(s.HasSides, "one total only: there is no left or right"))
		}},
		{Keys: []string{"s"}, Action: Scale, Show: "s", Help: "step through: session's scale, own scale", Group: "look", Why: needCurve},
		{Keys: []string{"b"}, Action: Unit, Show: "b", Help: "step through: newtons, body weights", Group: "look", Why: needCurve},
		{Keys: []string{"d"}, Action: Strip, Show: "d", Help: "step through a strip below: none, left - right, velocity, displacement, power", Group: "look", Why: needCurve},
		{Keys: []string{"o"}, Action: Overlay, Show: "o", Help: "step through other reps behind: none, all kept, the best", Group: "look", Why: needCurve},
		{Keys: []string{"a"}, Action: Align, Show: "a", Help: "step through time zero: onset, low point, takeoff, start of the file", Group: "look", Why: needCurve},
		{Keys: []string{"z"}, Action: Zoom, Show: "z", Help: "zoom to the next phase", Group: "look", Why: needCurve},
		{Keys: []string{"Z"}, Action: ZoomOut, Show: "Z", Help: "leave the zoom", Group: "look", Why: func(s State) string {
			return unless(s.Zoomed, "there is no zoom to leave")
		}},
		{Keys: []string{"right", "."}, Action: CursorFwd, Show: "Right .", Help: "cursor forward on the curve", Group: "look", Why: needCurve},
		{Keys: []string{"left", ","}, Action: CursorBack, Show: "Left ,", Help: "cursor back on the curve", Group: "look", Why: needCurve},
		{Keys: []string{">"}, Action: CursorNext, Show: ">", Help: "cursor to the next landmark", Group: "look", Why: needCurve},
		{Keys: []string{"<"}, Action: CursorPrev, Show: "<", Help: "cursor to the previous landmark", Group: "look", Why: needCurve},
		{Keys: []string{"x"}, Action: CursorOff, Show: "x", Help: "take the cursor away", Group: "look", Why: func(s State) string {
			return unless(s.CursorOn, "there is no cursor on the curve")
		}},
		{Keys: []string{"tab"}, Action: Page, Show: "Tab", Help: "step through pages: curve, numbers, all reps", Short: "page", Group: "look", Why: needReps},

		{Keys: []string{"f"}, Action: Filter, Show: "f", Help: "step through the list: all, open, look and redo, kept, rejected, this athlete", Group: "session"},
		{Keys: []string{"F"}, Action: Follow, Show: "F", Help: "step through following: select what arrives, stay", Group: "session"},
		{Keys: []string{"e"}, Action: Mouse, Show: "e", Help: "step through the mouse: on, off", Group: "session"},
		{Keys: []string{"w"}, Action: Write, Show: "w", Help: "write the cleaned session", Short: "write", Group: "session", Why: needReps},
		{Keys: []string{"?"}, Action: Help, Show: "?", Help: "this page", Short: "keys", Group: "session"},
		{Keys: []string{"ctrl+z"}, Action: Suspend, Show: "Ctrl-Z", Help: "suspend; fg comes back", Group: "session"},
		{Keys: []string{"q", "ctrl+c"}, Action: Quit, Show: "q", Help: "quit; every decision is on disk already", Short: "quit", Group: "session"},
	}
}

func digits() []string {
	return []string{"1", "2", "3", "4", "5", "6", "7", "8", "9", "0"}
}

func needReps(s State) string { return unless(s.HasReps, "there is nothing in the list") }

func needCurve(s State) string {
	return unless(s.HasCurve, "the curve of this rep is not there")
}

func needMarks(s State) string {
	return first(s.ReadOnly, unless(s.Marked > 0, "no rep is marked: Space marks one"))
}

func canDecide(s State) string {
	return first(s.ReadOnly, unless(s.OnRep, "a refused recording cannot be decided"))
}

func unless(is bool, why string) string {
	if is {
		return ""
	}
	return why
}

func first(whys ...string) string {
	for _, w := range whys {
		if w != "" {
			return w
		}
	}
	return ""
}

// Find returns the binding of a key; ok is false for a key that does nothing.
func Find(key string) (Binding, bool) {
	for _, b := range Bindings() {
		for _, k := range b.Keys {
			if k == key {
				return b, true
			}
		}
	}
	return Binding{}, false
}

// Groups returns the groups of help in order.
func Groups() []string { return []string{"move", "decide", "look", "session"} }

// Markdown returns the key table of the README.
func Markdown() string {
	var b strings.Builder
	b.WriteString("| key | does |\n| --- | --- |\n")
	for _, row := range Bindings() {
		keys := "`" + strings.Join(strings.Fields(row.Show), "` `") + "`"
		fmt.Fprintf(&b, "| %s | %s |\n", keys, row.Help)
	}
	return b.String()
}
