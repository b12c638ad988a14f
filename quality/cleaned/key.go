package cleaned

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"plateside/quality"
	"plateside/quality/ledger/disk"
)

// Codes returns a pseudonym for every athlete of a session: the known ones, and new ones for the others. New codes are
// given in an order that tells nothing of the names.
func Codes(s *quality.Session, known map[string]string) map[string]string {
	codes, used := map[string]string{}, map[string]bool{}
	for name, code := range known {
		codes[name], used[code] = code, true
	}
	var fresh []string
	for _, r := range s.Reps {
		if r.Athlete != "" && codes[r.Athlete] == "" && !slices.Contains(fresh, r.Athlete) {
			fresh = append(fresh, r.Athlete)
		}
	}
	slices.SortFunc(fresh, func(a, b string) int {
		x, y := sha256.Sum256([]byte(a)), sha256.Sum256([]byte(b))
		return cmp.Or(bytes.Compare(x[:], y[:]), cmp.Compare(a, b))
	})
	n := 0
	for _, name := range fresh {
		code := ""
		for code == "" || used[code] {
			n++
			code = fmt.Sprintf("P%02d", n)
		}
		codes[name], used[code] = code, true
	}
	return codes
}

// SaveKey writes which code stands for which athlete into a file of its own, to be kept apart from what is shared.
func SaveKey(path string, codes map[string]string) error {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	rows := make([][]string, 0, len(codes))
	for name, code := range codes {
		rows = append(rows, []string{guarded(code), guarded(name)})
	}
	slices.SortFunc(rows, slices.Compare)
	if err := w.WriteAll(append([][]string{{"code", "athlete"}}, rows...)); err != nil {
		return err
	}
	return disk.Save(disk.OS{}, path, b.Bytes())
}

// LoadKey reads what SaveKey wrote. A file that is not there is an empty key.
func LoadKey(path string) (map[string]string, error) {
	codes := map[string]string{}
	data, err := disk.ReadAll(disk.OS{}, path, mostSmallFile)
	if errors.Is(err, fs.ErrNotExist) {
		return codes, nil
	}
	if err != nil {
		return nil, err
	}
	in := csv.NewReader(bytes.NewReader(data))
	in.FieldsPerRecord = 2
	rows, err := in.ReadAll()
	if err != nil || len(rows) == 0 || rows[0][0] != "code" || rows[0][1] != "athlete" {
		return nil, fmt.Errorf("%s is no key of pseudonyms: its columns must be code and athlete", path)
	}
	for _, r := range rows[1:] {
		codes[unguarded(r[1])] = unguarded(r[0])
	}
	return codes, nil
}
