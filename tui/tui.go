// Package tui runs the reviewer's screen in a terminal. It touches no disk: what it needs comes in Deps as functions.
package tui

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/colorprofile"

	"plateside/tui/review"
	"plateside/tui/theme"
)

// Options say how the terminal is used.
type Options struct {
	In, Out *os.File
	// Environment is what the terminal's abilities are read from.
	Getenv func(string) string
	// Plain asks for plain characters without colours.
	Plain bool
	// Light says that the terminal's background is light.
	Light bool
	// SlowLink says that the terminal is at the far end of a network, so that frames are paced while a key is held.
	SlowLink bool
	// Report keeps a report of a fault of the program and returns where it is.
	Report func(text string) (where string, err error)
	// Load reads the recordings and hands them over as they come; it runs beside the screen.
	Load func(ctx context.Context, emit func(any)) error
}

// ErrNoTerminal means that the reviewer cannot be shown; the message says what to run instead.
var ErrNoTerminal = errors.New("this is not a terminal that can show the reviewer; run 'plateside check PATH' for a table, or 'plateside clean PATH -o FILE'")

// ThemeFor chooses inks and glyphs for a terminal: no colour with NO_COLOR, plain characters where the locale is not
// UTF-8.
func ThemeFor(o Options) theme.Options {
	t := theme.Options{Dark: !o.Light && !strings.HasSuffix(o.Getenv("COLORFGBG"), ";15"), ASCII: o.Plain || !utf8Locale(o.Getenv)}
	switch p := colorprofile.Env(environ(o.Getenv)); {
	case o.Plain:
		t.Plain = true
	case o.Getenv("NO_COLOR") != "":
		t.Depth = theme.NoColour
	case p == colorprofile.TrueColor:
		t.Depth = theme.TrueColour
	case p == colorprofile.ANSI256:
		t.Depth = theme.Colours256
	case p == colorprofile.ANSI:
		t.Depth = theme.Colours16
	}
	return t
}

// environ rebuilds the part of the environment that tells a terminal's colours.
func environ(getenv func(string) string) []string {
	var env []string
	for _, key := range []string{"TERM", "COLORTERM", "NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "TERM_PROGRAM", "WT_SESSION", "TMUX", "STY"} {
		if v := getenv(key); v != "" {
			env = append(env, key+"="+v)
		}
	}
	return env
}

// utf8Locale reports whether the locale's characters are UTF-8. An empty locale is the C locale.
func utf8Locale(getenv func(string) string) bool {
	for _, key := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := getenv(key); v != "" {
			v = strings.ToLower(v)
			return strings.Contains(v, "utf-8") || strings.Contains(v, "utf8")
		}
	}
	return os.PathSeparator == '\\' // Windows consoles take UTF-8 without saying so
}

// Run shows the reviewer until the person leaves. It returns an error when the screen could not be shown, when it ended by
// a fault of the program, or when decisions were left unsaved.
func Run(ctx context.Context, m *review.Model, o Options) error {
	if !terminal(o) {
		return ErrNoTerminal
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	fall := &fall{}
	p := tea.NewProgram(newRoot(m, fall, o.SlowLink), tea.WithContext(ctx), tea.WithInput(o.In), tea.WithOutput(o.Out))
	go func() {
		if err := o.Load(ctx, func(msg any) { p.Send(msg) }); err != nil && ctx.Err() == nil {
			p.Send(review.FailedMsg{Err: err})
		}
	}()
	_, err := p.Run()
	if errors.Is(err, tea.ErrProgramPanic) {
		return fall.tell(m, o)
	}
	if n := m.Rescue(); n > 0 { // hung up, or left with decisions that could not be saved: one more try
		return errors.Join(err, fmt.Errorf("%d decisions were NOT SAVED", n))
	}
	if err != nil && !errors.Is(err, tea.ErrInterrupted) && !errors.Is(err, context.Canceled) && !errors.Is(err, tea.ErrProgramKilled) {
		return fmt.Errorf("the screen ended: %w", err)
	}
	return nil
}

// terminal reports whether in and out are a terminal that can place the cursor.
func terminal(o Options) bool {
	if o.Getenv("TERM") == "dumb" || o.In == nil || o.Out == nil {
		return false
	}
	for _, f := range []*os.File{o.In, o.Out} {
		info, err := f.Stat()
		if err != nil || info.Mode()&os.ModeCharDevice == 0 || info.Name() == os.DevNull {
			return false
		}
	}
	return true
}
