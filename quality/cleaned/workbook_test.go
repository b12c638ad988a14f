package cleaned_test

import (
	"bytes"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"plateside/curve"
	"plateside/quality/cleaned"
)

func TestWorkbook(t *testing.T) {
	q := newSquad(t)
	path := filepath.Join(t.TempDir(), "squad.xlsx")
	if err := cleaned.SaveWorkbook(path, q.session, q.options); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	if diff := cmp.Diff([]string{"reps", "metrics", "landmarks", "findings", "decisions", "method"}, f.GetSheetList()); diff != "" {
		t.Error(diff)
	}
	// Numbers are numbers: the column is that of the jump height, whatever stands before it.
	column := 0
	rows, err := f.GetRows("metrics")
	if err != nil {
		t.Fatal(err)
	}
	for i, name := range rows[0] {
		if name == "jump_height_m" {
			column = i + 1
		}
	}
	cell, _ := excelize.CoordinatesToCellName(column, 2)
	kind, err := f.GetCellType("metrics", cell)
	if err != nil || kind != excelize.CellTypeNumber && kind != excelize.CellTypeUnset {
		t.Errorf("jump height has the cell type %v, %v", kind, err)
	}
	got, err := strconv.ParseFloat(rows[1][column-1], 64)
	if err != nil {
		t.Fatal(err)
	}
	holdNumber(t, strconv.FormatFloat(got, 'f', -1, 64), q.session.Reps[0].Curve.Metric("jump_height_m").Value, 1e-5)
	holdNoFormulas(t, f)
	if len(rows) != 4 || len(curve.Metrics()) == 0 {
		t.Errorf("%d rows of metrics", len(rows))
	}
}

// holdNoFormulas checks that text from files and notes is text.
func holdNoFormulas(t *testing.T, f *excelize.File) {
	t.Helper()
	found := false
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet)
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			for j, s := range row {
				cell, _ := excelize.CoordinatesToCellName(j+1, i+1)
				if formula, _ := f.GetCellFormula(sheet, cell); formula != "" {
					t.Errorf("%s %s runs %q", sheet, cell, formula)
				}
				if s == "=cmd()|x#1" {
					found = true
					if kind, _ := f.GetCellType(sheet, cell); kind != excelize.CellTypeInlineString && kind != excelize.CellTypeSharedString {
						t.Errorf("%s %s has the cell type %v", sheet, cell, kind)
					}
				}
			}
		}
	}
	if !found {
		t.Error("the rep with a name like a formula is not there")
	}
}

func TestWorkbookIsTheSameEachTime(t *testing.T) {
	var a, b bytes.Buffer
	q := newSquad(t)
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := cleaned.WriteWorkbook(w, q.session, q.options); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two workbooks of one session differ")
	}
}
