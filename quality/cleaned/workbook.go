package cleaned

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"plateside/quality"
)

// WriteWorkbook writes the tables of the cleaned session as a workbook, for people whose spreadsheet program spoils CSV:
// numbers are numbers, whatever the decimal mark, and text is text, so that nothing in it runs. Samples are not in it; it
// is a convenience, not the record.
func WriteWorkbook(w io.Writer, s *quality.Session, o Options) (err error) {
	b, err := newBook(s, o)
	if err != nil {
		return err
	}
	f := excelize.NewFile()
	defer func() {
		if e := f.Close(); err == nil {
			err = e
		}
	}()
	bold, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return err
	}
	sheets := append(b.tables(), b.methodTable())
	for i, t := range sheets {
		if i == 0 {
			err = f.SetSheetName("Sheet1", t.name)
		} else {
			_, err = f.NewSheet(t.name)
		}
		if err == nil {
			err = writeSheet(f, t, bold)
		}
		if err != nil {
			return err
		}
	}
	at := b.created().Format(time.RFC3339)
	err = f.SetDocProps(&excelize.DocProperties{
		Title: clean(b.names.in(s.Title)), Creator: o.Program, LastModifiedBy: o.Program,
		Created: at, Modified: at,
	})
	if err != nil {
		return err
	}
	var unsorted bytes.Buffer
	if err := f.Write(&unsorted); err != nil {
		return err
	}
	return repack(w, unsorted.Bytes())
}

// repack writes a zip again with its entries in order and without times, so that equal input gives equal bytes.
func repack(w io.Writer, data []byte) error {
	in, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return err
	}
	slices.SortFunc(in.File, func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) })
	p := newPacker(w)
	for _, f := range in.File {
		p.stream(f.Name, func(w io.Writer) error {
			r, err := f.Open()
			if err != nil {
				return err
			}
			_, err = io.Copy(w, r)
			return errors.Join(err, r.Close())
		})
	}
	return p.close()
}

// methodTable is the method and limits in force, which the package has in its descriptor.
func (b *book) methodTable() table {
	t := table{name: "method", columns: []column{
		col("key", kindString, ""), col("value", kindNumber, ""),
		col("unit", kindString, ""), col("source", kindString, ""), col("set_in", kindString, ""),
	}}
	m := b.method()
	t.rows = append(t.rows, []cell{text("program"), text(m.Program + " " + m.Version), {}, {}, {}})
	for _, s := range m.Method {
		value := cell{}
		switch v := s.Value.(type) {
		case float64:
			value = short(v, 9)
		case int:
			value = integer(v)
		case string:
			value = text(v)
		}
		t.rows = append(t.rows, []cell{text(s.Key), value, text(s.Unit), text(s.Source), text(s.SetIn)})
	}
	return t
}

// writeSheet writes a table row by row, with a heading that stays in view.
func writeSheet(f *excelize.File, t table, bold int) error {
	w, err := f.NewStreamWriter(t.name)
	if err != nil {
		return err
	}
	err = w.SetPanes(&excelize.Panes{Freeze: true, XSplit: 1, YSplit: 1, TopLeftCell: "B2", ActivePane: "bottomRight"})
	if err != nil {
		return err
	}
	if err := w.SetColWidth(1, len(t.columns), 16); err != nil {
		return err
	}
	head := make([]any, len(t.columns))
	for i, c := range t.columns {
		head[i] = excelize.Cell{StyleID: bold, Value: c.name}
	}
	if err := w.SetRow("A1", head); err != nil {
		return err
	}
	for i, row := range t.rows {
		values := make([]any, len(row))
		for j, c := range row {
			values[j] = c.value()
		}
		if err := w.SetRow("A"+strconv.Itoa(i+2), values); err != nil {
			return err
		}
	}
	return w.Flush()
}

// value is a number for a number, text for text, and nothing for an empty cell. A cell of a workbook may hold 32,767
// characters.
func (c cell) value() any {
	const most = 32767
	switch {
	case c.text == "":
		return nil
	case !c.numeric:
		if runes := []rune(c.text); len(runes) > most {
			return string(runes[:most])
		}
		return c.text
	}
	v, err := strconv.ParseFloat(c.text, 64)
	if err != nil || math.IsInf(v, 0) {
		return c.text
	}
	return v
}
