package record

import (
	"errors"
	"fmt"

	"plateside/curve/record/table"
)

// A Refusal says why a file was not read.
type Refusal struct {
	// Recording is the name of the file as in curve.Recording.
	Recording string
	// Reason is one plain sentence.
	Reason string
	// Hint is what would make the file readable; empty when nothing would.
	Hint string
	// Err is the error behind the refusal; it may be nil.
	Err error
}

func (r *Refusal) Error() string {
	s := r.Recording + ": " + r.Reason
	if r.Hint != "" {
		s += " (" + r.Hint + ")"
	}
	return s
}

// Unwrap returns the error behind the refusal.
func (r *Refusal) Unwrap() error { return r.Err }

// refuse makes a refusal that does not know its file yet.
func refuse(hint, reason string, args ...any) *Refusal {
	return &Refusal{Reason: fmt.Sprintf(reason, args...), Hint: hint}
}

// asRefusal gives an error the name of the file.
func asRefusal(name string, err error) *Refusal {
	var r *Refusal
	if errors.As(err, &r) {
		named := *r
		named.Recording = name
		return &named
	}
	var two *table.Ambiguity
	if errors.As(err, &two) {
		return &Refusal{name, two.Error(), fmt.Sprintf("put %s for the first or %s for the second into a [[reader]] "+
			"block of plateside.toml with files = %q", two.Setting, two.Other, baseName(name)), err}
	}
	var trouble *table.Trouble
	if errors.As(err, &trouble) {
		return &Refusal{name, trouble.Reason, "expected are at least 10 rows of numbers under each other, as text or C3D; " +
			"is it a recording of force?", err}
	}
	return &Refusal{name, err.Error(), "", err}
}
