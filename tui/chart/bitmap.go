package chart

// A bitmap is the dots of one trace, the eight of a cell in the bits of a byte in the order of the braille patterns.
//
// Why not ntcharts' grid for the large picture: it keeps a slice of booleans a dot row and makes a slice of runes a cell
// row, which for three traces in 120 x 30 cells takes two to four times as long as the whole picture on this bitmap, axes
// included, with some 1,300 more allocations (BenchmarkRender against BenchmarkRenderOnGrid). It draws the thumbnails,
// where that does not count, and it is what the tests hold this bitmap against.
type bitmap struct {
	wide, high int // in dots
	bits       []uint8
	// low and top are the first and last lit row of each column, top below 0 where nothing is lit.
	low, top []int32
	thick    bool
}

func newBitmap(cellsWide, cellsHigh int) *bitmap {
	b := &bitmap{wide: 2 * cellsWide, high: 4 * cellsHigh, bits: make([]uint8, cellsWide*cellsHigh)}
	edges := make([]int32, 2*b.wide)
	b.low, b.top = edges[:b.wide], edges[b.wide:]
	return b
}

// reset clears the dots for another trace.
func (b *bitmap) reset(thick bool) {
	clear(b.bits)
	for x := range b.low {
		b.low[x], b.top[x] = int32(b.high), -1
	}
	b.thick = thick
}

// dot returns the bit of a dot within its cell.
func dot(x, y int) uint8 {
	return [8]uint8{0x01, 0x08, 0x02, 0x10, 0x04, 0x20, 0x40, 0x80}[(y&3)<<1|x&1]
}

// vertical lights the dots of column x from row a to row b, those outside the picture left out.
func (b *bitmap) vertical(x, from, to int) {
	if x < 0 || x >= b.wide {
		return
	}
	from, to, ok := clip(from, to, b.high, b.thick)
	if !ok {
		return
	}
	b.low[x], b.top[x] = min(b.low[x], int32(from)), max(b.top[x], int32(to))
	for y := from; y <= to; y++ {
		b.bits[(y>>2)*(b.wide>>1)+x>>1] |= dot(x, y)
	}
}

// clip returns the part of the rows from a to b, in either order, that lies in a picture of that height, one row more
// for a thick line.
func clip(a, b, high int, thick bool) (from, to int, ok bool) {
	if a > b {
		a, b = b, a
	}
	a, b = max(a, 0), min(b, high-1)
	if a > b {
		return 0, 0, false
	}
	if thick {
		b = min(b+1, high-1)
	}
	return a, b, true
}

// A dashed line is lit in dashOn of every dashPeriod dot columns: two cells of every three.
const (
	dashOn     = 4
	dashPeriod = 6
)

// dash turns the solid line into a dashed one. In the columns of a gap
//   - dots that stick out by more than one above or below the lit columns on both sides of the gap stay: no peak is lost
//   - a run of dashPeriod dots or more is dashed downwards: no steep line vanishes
//   - all others go.
//
// What stays depends only on the solid line's dots, so drawing four values a column gives the same dashes as drawing all
// samples.
func (b *bitmap) dash() {
	for x := range b.wide {
		if x%dashPeriod < dashOn || b.top[x] < 0 {
			continue
		}
		low, top := int32(b.high), int32(-1)
		before := x - x%dashPeriod + dashOn - 1
		after := x - x%dashPeriod + dashPeriod
		for _, n := range [2]int{before, after} {
			if n < b.wide {
				low, top = min(low, b.low[n]), max(top, b.top[n])
			}
		}
		steep := b.top[x]-b.low[x] >= dashPeriod
		for y := b.low[x]; y <= b.top[x]; y++ {
			if y < low-1 || y > top+1 || steep && y%dashPeriod < dashOn {
				continue
			}
			b.bits[int(y>>2)*(b.wide>>1)+x>>1] &^= dot(x, int(y))
		}
	}
}
