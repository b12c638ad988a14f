package ledger

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"strings"
	"time"

	"plateside/quality"
)

// A line of the file is one JSON object that ends in the checksum of everything before it:
//
//	{"ledger":1,"seq":1,"at":"2026-03-01T09:10:00.250Z","reviewer":"AB", … ,"prev":"00000000","crc":"5c2c3f60"}
//
// prev is the checksum of the line before, so that a line that was removed, doubled or moved is found as well as one
// that was changed.

// version is written into the first line of a file.
const version = 1

const (
	// noPrev stands for the checksum before the first line.
	noPrev = "00000000"
	// crcLead comes between what is summed and the checksum.
	crcLead = `,"crc":"`
	// tailLength is the length of everything after what is summed, without the line feed.
	tailLength = len(crcLead) + len(noPrev) + len(`"}`)
	// maxLine bounds a line in bytes; a note is a sentence, not a book.
	maxLine = 64 << 10
	// maxFile bounds a ledger in bytes, about half a million decisions.
	maxFile = 256 << 20
)

// A line is what is written for an event.
type line struct {
	Ledger    int            `json:"ledger,omitempty"`
	Seq       int            `json:"seq"`
	At        string         `json:"at"`
	Reviewer  string         `json:"reviewer"`
	Action    quality.Action `json:"action"`
	RepID     string         `json:"rep_id"`
	Recording string         `json:"recording"`
	SHA256    string         `json:"recording_sha256"`
	Rep       int            `json:"rep"`
	Reason    string         `json:"reason,omitempty"`
	Note      string         `json:"note,omitempty"`
	Verdict   string         `json:"verdict"`
	Group     int            `json:"group,omitempty"`
	// GroupOf is how many lines the group has: a group of which only a part is there was cut while it was written.
	GroupOf int    `json:"group_of,omitempty"`
	Undoes  int    `json:"undoes,omitempty"`
	Prev    string `json:"prev"`
}

const timeLayout = "2006-01-02T15:04:05.000Z"

// encode returns the line of an event with its line feed, and its checksum.
func encode(e quality.Event, groupOf int, prev string) (text []byte, crc string, err error) {
	l := line{
		Seq: e.Seq, At: e.At.UTC().Format(timeLayout), Reviewer: e.Reviewer, Action: e.Action, RepID: e.RepID,
		Recording: e.Recording, SHA256: e.Key.SHA256, Rep: e.Key.Number, Reason: e.Reason, Note: e.Note,
		Verdict: e.Verdict.String(), Group: e.Group, GroupOf: groupOf, Undoes: e.Undoes, Prev: prev,
	}
	if e.Seq == 1 {
		l.Ledger = version
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(l); err != nil {
		return nil, "", err
	}
	summed := bytes.TrimSuffix(b.Bytes(), []byte("}\n"))
	crc = checksum(summed)
	text = fmt.Appendf(nil, "%s%s%s\"}\n", summed, crcLead, crc)
	if len(text) > maxLine {
		return nil, "", fmt.Errorf("a decision of %d bytes is longer than the %d that a line may have: shorten the note",
			len(text), maxLine)
	}
	return text, crc, nil
}

// decode is the inverse of encode. The text is without its line feed.
func decode(text []byte, prev string) (e quality.Event, groupOf int, crc string, err error) {
	if len(text) > maxLine || len(text) < tailLength {
		return e, 0, "", errors.New("it has not the length of a decision")
	}
	summed, tail := text[:len(text)-tailLength], text[len(text)-tailLength:]
	crc = checksum(summed)
	if string(tail) != crcLead+crc+`"}` {
		return e, 0, "", errors.New("its checksum does not match: it was changed or damaged")
	}
	var l line
	if err := json.Unmarshal(append(bytes.Clone(summed), '}'), &l); err != nil {
		return e, 0, "", fmt.Errorf("it is no decision: %w", err)
	}
	if l.Ledger > version {
		return e, 0, "", &versionError{l.Ledger}
	}
	if prev != "" && l.Prev != prev {
		return e, 0, "", errors.New("it does not follow the line before: a line is missing, doubled or moved")
	}
	e, err = l.event()
	return e, l.GroupOf, crc, err
}

// event returns what the line says.
func (l line) event() (quality.Event, error) {
	at, err := time.Parse(time.RFC3339Nano, l.At)
	if err != nil {
		return quality.Event{}, err
	}
	verdict, err := quality.ParseVerdict(l.Verdict)
	if err != nil {
		return quality.Event{}, err
	}
	return quality.Event{
		Seq: l.Seq, At: at.UTC(), Reviewer: l.Reviewer, Action: l.Action,
		Key: quality.RepKey{SHA256: l.SHA256, Number: l.Rep}, RepID: l.RepID, Recording: l.Recording,
		Reason: l.Reason, Note: l.Note, Verdict: verdict, Group: l.Group, Undoes: l.Undoes,
	}, nil
}

// plain returns the event as it will be read back: whole milliseconds, valid text.
func plain(e quality.Event) quality.Event {
	e.At = e.At.UTC().Round(0).Truncate(time.Millisecond)
	for _, s := range []*string{&e.Reviewer, &e.RepID, &e.Recording, &e.Key.SHA256, &e.Reason, &e.Note} {
		*s = strings.ToValidUTF8(*s, "\uFFFD")
	}
	return e
}

// checksum is CRC-32C in eight lower-case hexadecimal digits.
func checksum(b []byte) string {
	return fmt.Sprintf("%08x", crc32.Checksum(b, crc32.MakeTable(crc32.Castagnoli)))
}

// A versionError says that a newer program wrote the file.
type versionError struct{ version int }

func (e *versionError) Error() string {
	return fmt.Sprintf("it was written by a newer program (format %d, this one knows %d): bring the program up to date",
		e.version, version)
}
