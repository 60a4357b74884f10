package survey

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/geom"
	"roodbeam/engine/si"
)

// Limits of a plain list: far more than anybody measures in a church.
const (
	MaxListBytes        = 2 << 20
	MaxListMeasurements = 5000
	MaxListStations     = 1200
	maxListLine         = 1000 // bytes
	maxListField        = 200  // bytes
)

// List is a measurement network read from a plain list.
type List struct {
	Network
	Rows []ListRow // one per observation, in their order
	// Notes say what was taken for granted.
	Notes []string
	level []int // points that were taken to lie at one height with the others
}

// ListRow is where an observation came from.
type ListRow struct {
	Line         int
	Kind         Kind // as written: slope for both its numbers
	From, At, To string
	Text         string
}

// ListError is what is wrong with one line of a list.
type ListError struct {
	Line   int
	Column string // of the list; empty: the whole line
	Reason string
}

// Error returns the refusal for people.
func (e *ListError) Error() string {
	if e.Column == "" {
		return fmt.Sprintf("line %d: %s", e.Line, e.Reason)
	}
	return fmt.Sprintf("line %d, %s: %s", e.Line, e.Column, e.Reason)
}

// ListEntry is one measured row of a list as a measurement.
type ListEntry struct {
	Line        int
	Measurement Measurement
}

// listKinds are the words a row may begin with.
var listKinds = map[string]Kind{
	"distance": Distance, "horizontal": Horizontal, "height": Height, "level": Rise, "rise": Rise,
	"offset_x": OffsetX, "offset_y": OffsetY, "offset": Offset, "square": Square, "same_height": SameHeight,
	"parallel": Parallel, "slope": Slope, "angle": Angle, "drawn": Drawn,
}

// listReader reads a list row by row.
type listReader struct {
	display  si.Display
	stations map[string]int
	out      List
	entries  []ListEntry
	line     int
	height   bool // some row tells heights
	byHabit  []string
}

// ReadList returns the network of a plain list: text with commas or semicolons
// between the columns kind, from, at, to, value, sigma (any order; instrument may
// be added), named in its first line. Rows fixed and near give coordinates of the
// station in at (or to), as height and the plain offsets name theirs: one number is z, two are x y, three x y z, with one unit behind
// them or a unit each. Measured rows: distance, horizontal, height, level (or
// rise), offset, offset_x, offset_y, angle, slope, drawn; assumed ones: square,
// same_height, parallel (second wall's other station in value). A sigma may be left
// out: it then follows the instrument. Lines that begin with # are left out.
//
// Where no row tells heights and all heights given are equal, the network is taken
// to be level. A coordinate that no row touches is not solved. The error is a
// *ListError.
func ReadList(text string, d si.Display) (List, error) {
	r, err := readList(text, d)
	if err != nil {
		return List{}, err
	}
	r.settle()
	r.habits()
	return r.out, nil
}

// ReadListEntries returns the measured rows of a list as measurements, in order;
// rows fixed and near are left out.
func ReadListEntries(text string, d si.Display) ([]ListEntry, error) {
	r, err := readList(text, d)
	if err != nil {
		return nil, err
	}
	return r.entries, nil
}

func readList(text string, d si.Display) (*listReader, error) {
	r := &listReader{display: d, stations: map[string]int{}}
	if len(text) > MaxListBytes {
		return nil, &ListError{0, "", fmt.Sprintf("the list is longer than %d MiB", MaxListBytes>>20)}
	}
	// Curly quotes are what a telephone or a word processor makes of straight ones.
	text = strings.TrimPrefix(strings.NewReplacer("\r\n", "\n", "\r", "\n", "“", `"`, "”", `"`, "„", `"`).Replace(text), "\ufeff")
	var columns map[string]int
	comma := byte(',')
	for i, line := range strings.Split(text, "\n") {
		r.line = i + 1
		if t := strings.TrimSpace(line); t == "" || t[0] == '#' {
			continue
		}
		if len(line) > maxListLine {
			return nil, &ListError{r.line, "", fmt.Sprintf("the line is longer than %d characters", maxListLine)}
		}
		if columns == nil {
			if strings.Contains(line, ";") {
				comma = ';'
			}
			var err error
			if columns, err = r.header(splitLine(line, comma)); err != nil {
				return nil, err
			}
			continue
		}
		fields := splitLine(line, comma)
		row := map[string]string{}
		for name, k := range columns {
			if k < len(fields) {
				row[name] = strings.TrimSpace(fields[k])
				if len(row[name]) > maxListField {
					return nil, &ListError{r.line, name, fmt.Sprintf("it is longer than %d characters", maxListField)}
				}
			}
		}
		for k := len(columns); k < len(fields); k++ {
			if strings.TrimSpace(fields[k]) != "" {
				return nil, &ListError{r.line, "", fmt.Sprintf("there are %d columns, the first line names %d; put a text with %q in it in quotes", len(fields), len(columns), string(comma))}
			}
		}
		if err := r.row(row); err != nil {
			return nil, err
		}
	}
	if columns == nil {
		return nil, &ListError{1, "", "the list is empty; its first line must be kind,from,at,to,value,sigma"}
	}
	if len(r.out.Observations) == 0 {
		return nil, &ListError{r.line, "", "no row measures anything"}
	}
	return r, nil
}

func (r *listReader) header(fields []string) (map[string]int, error) {
	out := map[string]int{}
	for i, f := range fields {
		name := strings.ToLower(strings.TrimSpace(f))
		switch name {
		case "kind", "from", "at", "to", "value", "sigma", "instrument":
			if _, twice := out[name]; twice {
				return nil, &ListError{r.line, name, "the column is named twice"}
			}
			out[name] = i
		case "":
			// trailing commas of a spreadsheet
		default:
			return nil, &ListError{r.line, name, "the column is not known; the first line must be kind,from,at,to,value,sigma"}
		}
	}
	for _, need := range []string{"kind", "from", "at", "to", "value", "sigma"} {
		if _, ok := out[need]; !ok {
			return nil, &ListError{r.line, need, "the column is missing; the first line must be kind,from,at,to,value,sigma"}
		}
	}
	return out, nil
}

// splitLine parts a line at the separator outside quotes. A doubled quote inside
// quotes is one quote; where that would leave the quotes open, the doubled quote is
// taken for an inch mark and the end.
func splitLine(line string, comma byte) []string {
	var out []string
	for i := 0; ; {
		for i < len(line) && (line[i] == ' ' || line[i] == '\t') {
			i++
		}
		if i < len(line) && line[i] == '"' {
			if text, next, ok := quoted(line, i, comma, false); ok {
				out = append(out, text)
				i = next
			} else if text, next, ok := quoted(line, i, comma, true); ok {
				out = append(out, text)
				i = next
			} else {
				out = append(out, line[i+1:])
				return out
			}
		} else {
			end := strings.IndexByte(line[i:], comma)
			if end < 0 {
				return append(out, line[i:])
			}
			out = append(out, line[i:i+end])
			i += end
		}
		if i >= len(line) {
			return out
		}
		i++ // the separator
		if i == len(line) {
			return append(out, "")
		}
	}
}

// quoted reads a quoted field that begins at from; next is where the separator or
// the line's end is. lenient ends it at the first quote before a separator.
func quoted(line string, from int, comma byte, lenient bool) (text string, next int, ok bool) {
	var b strings.Builder
	for i := from + 1; i < len(line); i++ {
		if line[i] != '"' {
			b.WriteByte(line[i])
			continue
		}
		after := i + 1
		for after < len(line) && (line[after] == ' ' || line[after] == '\t') {
			after++
		}
		ends := after >= len(line) || line[after] == comma
		if i+1 < len(line) && line[i+1] == '"' {
			rest := i + 2
			if lenient && (rest >= len(line) || line[rest] == comma) {
				b.WriteByte('"')
				return b.String(), rest, true
			}
			b.WriteByte('"')
			i++
			continue
		}
		if ends {
			return b.String(), after, true
		}
		b.WriteByte('"') // an inch mark that nobody doubled
	}
	return "", 0, false
}

func (r *listReader) refuse(column, format string, a ...any) error {
	return &ListError{r.line, column, fmt.Sprintf(format, a...)}
}

func (r *listReader) station(column, name string) (int, error) {
	if name == "" {
		return -1, r.refuse(column, "a station is wanted here")
	}
	if len(name) > 80 {
		return -1, r.refuse(column, "a station's name may have 80 characters")
	}
	if i, ok := r.stations[name]; ok {
		return i, nil
	}
	for other := range r.stations {
		if strings.EqualFold(other, name) {
			return -1, r.refuse(column, "station %q is also written %q; write it one way", name, other)
		}
	}
	if len(r.stations) >= MaxListStations {
		return -1, r.refuse(column, "a list may have %d stations", MaxListStations)
	}
	i := len(r.out.Points)
	r.stations[name] = i
	r.out.Points = append(r.out.Points, Point{Name: name})
	return i, nil
}

func (r *listReader) row(f map[string]string) error {
	kind := strings.ToLower(strings.ReplaceAll(f["kind"], " ", "_"))
	k, ok := listKinds[kind]
	// A station that stands alone is named in at, or in to.
	alone := kind == "fixed" || kind == "near" || k == Height || k == OffsetX || k == OffsetY
	if alone && f["to"] == "" {
		f["at"], f["to"] = "", f["at"]
	}
	if kind == "fixed" || kind == "near" {
		return r.place(kind, f)
	}
	if !ok {
		return r.refuse("kind", "%q is not known; use fixed, near, distance, horizontal, level, height, angle, slope, offset, offset_x, offset_y, drawn, square, same_height or parallel", f["kind"])
	}
	if len(r.out.Observations)+2 > MaxListMeasurements {
		return r.refuse("", "a list may have %d measurements", MaxListMeasurements)
	}
	m := Measurement{Kind: k, From: f["from"], At: f["at"], To: f["to"], ID: fmt.Sprintf("line %d", r.line)}
	if t := f["instrument"]; t != "" {
		m.Instrument = Instrument(strings.ToLower(strings.ReplaceAll(t, " ", "_")))
		if _, ok := precisions[m.Instrument]; !ok {
			return r.refuse("instrument", "%q is not known", t)
		}
	}
	need, _ := endsOf(k)
	o := Observation{ID: m.ID, Kind: k, From: -1, At: -1, To: -1, Assumed: soft(k), Instrument: m.instrument()}
	for i, end := range []struct {
		column, name string
		at           *int
	}{{"from", m.From, &o.From}, {"at", m.At, &o.At}, {"to", m.To, &o.To}} {
		if !need[i] {
			if end.name != "" {
				return r.refuse(end.column, "a row %s has no station here; given %q", kind, end.name)
			}
			continue
		}
		var err error
		if *end.at, err = r.station(end.column, end.name); err != nil {
			return err
		}
	}
	if k == Parallel {
		m.With = f["value"]
		var err error
		if o.With, err = r.station("value", m.With); err != nil {
			return err
		}
	}
	if err := r.numbers(&m, f); err != nil {
		return err
	}
	if loop := itself(o); loop {
		return r.refuse("", "it runs from a station to itself")
	}
	r.entries = append(r.entries, ListEntry{r.line, m})
	o.Sigma = m.sigma()
	if f["sigma"] == "" && !o.Assumed {
		r.byHabit = append(r.byHabit, fmt.Sprintf("line %d %s (%s)", r.line, r.shownSigma(m), precisionOf(m.instrument()).name))
	}
	switch {
	case k == Angle:
		o.Value, o.TypedAngle = float64(m.Angle.Value), m.Angle
	case !o.Assumed:
		o.Value, o.Typed = float64(m.Value.Value), m.Value
	}
	switch k {
	case Height, Rise, SameHeight, Slope:
		r.height = true
	}
	row := ListRow{r.line, k, m.From, m.At, m.To, f["value"]}
	if k == Slope || k == Drawn {
		o.Kind = Distance
	}
	r.out.Observations, r.out.Rows = append(r.out.Observations, o), append(r.out.Rows, row)
	if k == Slope {
		r.out.Observations = append(r.out.Observations, Observation{ID: m.ID + " inclination", Kind: Incline, From: o.From, At: -1, To: o.To,
			Value: float64(m.Angle.Value), Sigma: m.angleSigma(), TypedAngle: m.Angle, Instrument: m.Instrument})
		r.out.Rows = append(r.out.Rows, row)
	}
	return nil
}

// mostNamed is how many rows a note names.
const mostNamed = 12

// shownSigma writes the standard deviation that is taken for a row without one.
func (r *listReader) shownSigma(m Measurement) string {
	angle := fmt.Sprintf("%.2g°", m.angleSigma()*180/math.Pi)
	switch m.Kind {
	case Angle:
		return angle
	case Slope:
		return fmt.Sprintf("%.1f mm and %s", 1000*m.sigma(), angle)
	}
	return fmt.Sprintf("%.1f mm", 1000*m.sigma())
}

// habits notes the standard deviations that nobody gave.
func (r *listReader) habits() {
	if len(r.byHabit) == 0 {
		return
	}
	named, rest := r.byHabit, ""
	if len(named) > mostNamed {
		named, rest = named[:mostNamed], fmt.Sprintf(" and %d more", len(r.byHabit)-mostNamed)
	}
	r.out.Notes = append(r.out.Notes, "No sigma is given; taken by instrument and rounding: "+strings.Join(named, ", ")+rest+".")
}

// itself tells whether an observation's ends coincide.
func itself(o Observation) bool {
	need, _ := endsOf(o.Kind)
	if o.Kind == Parallel {
		return o.From == o.At || o.To == o.With
	}
	return need[0] && need[2] && o.From == o.To || need[1] && (o.At == o.From || o.At == o.To)
}

// numbers reads value and sigma of a measured row.
func (r *listReader) numbers(m *Measurement, f map[string]string) error {
	value, sigma := f["value"], f["sigma"]
	var err error
	switch {
	case soft(m.Kind):
		if m.Kind != Parallel && value != "" {
			return r.refuse("value", "a row %s is an assumption and has no value", m.Kind)
		}
		if sigma != "" {
			return r.refuse("sigma", "a row %s is an assumption; its looseness is fixed", m.Kind)
		}
		return nil
	case value == "":
		return r.refuse("value", "a value is wanted here")
	case m.Kind == Angle:
		if m.Angle, err = r.angle("value", value); err != nil {
			return err
		}
		if sigma != "" {
			m.AngleSigma, err = r.angleSigma(sigma)
		}
		return err
	case m.Kind == Slope:
		length, angle, ok := parted(value, looksAngle)
		if !ok {
			return r.refuse("value", "%q is not a distance and an inclination; write for example 7.31 m 34.5 deg", value)
		}
		if m.Angle, err = r.angle("value", angle); err != nil {
			return err
		}
		if math.Abs(float64(m.Angle.Value)) > math.Pi/2 {
			return r.refuse("value", "an inclination lies between -90 and 90 degrees")
		}
		value = length
		if sigma != "" {
			length, angle, ok := parted(sigma, looksAngle)
			if !ok {
				return r.refuse("sigma", "%q is not a length and an angle; write for example 5mm 0.5deg", sigma)
			}
			if m.AngleSigma, err = r.angleSigma(angle); err != nil {
				return err
			}
			sigma = length
		}
	}
	if m.Value, err = r.length("value", value); err != nil {
		return err
	}
	if m.Value.Value < 0 && unsigned(m.Kind) {
		return r.refuse("value", "a distance cannot be negative; given %q", value)
	}
	if sigma != "" {
		if m.Sigma, err = r.length("sigma", strings.TrimPrefix(sigma, "±")); err != nil {
			return err
		}
		if m.Sigma.Value <= 0 {
			return r.refuse("sigma", "a standard deviation must be greater than zero; given %q", sigma)
		}
	}
	return nil
}

func (r *listReader) length(column, text string) (L, error) {
	v, err := si.ParseLength(text, r.display)
	if err != nil {
		return L{}, r.refuse(column, "%s", err)
	}
	return L{Text: text, Value: v, Set: true}, nil
}

func (r *listReader) angle(column, text string) (si.Typed[si.Angle], error) {
	v, err := si.ParseAngle(text, r.display)
	if err != nil {
		return si.Typed[si.Angle]{}, r.refuse(column, "%s", err)
	}
	return si.Typed[si.Angle]{Text: text, Value: v, Set: true}, nil
}

// angleSigma reads 2.1", 2.1 sec, 1', 1 min, 0.5 deg, 0.01 rad.
func (r *listReader) angleSigma(text string) (si.Typed[si.Angle], error) {
	t := strings.ToLower(strings.TrimSpace(strings.TrimPrefix(text, "±")))
	t = strings.NewReplacer("''", `"`, "″", `"`, "”", `"`, "′", "'", "’", "'").Replace(t)
	for _, unit := range []struct {
		mark string
		size float64
	}{{`"`, 1. / 3600}, {"arcsec", 1. / 3600}, {"seconds", 1. / 3600}, {"sec", 1. / 3600}, {"'", 1. / 60}, {"arcmin", 1. / 60}, {"minutes", 1. / 60}, {"min", 1. / 60}} {
		if number, ok := strings.CutSuffix(t, unit.mark); ok {
			v, err := si.ParseAngle(strings.TrimSpace(number)+" deg", si.Metric)
			if err == nil {
				return r.positive(text, v*si.Angle(unit.size))
			}
		}
	}
	v, err := si.ParseAngle(t, si.Metric)
	if err != nil {
		return si.Typed[si.Angle]{}, r.refuse("sigma", "%s; or seconds of arc as 2.1\"", err)
	}
	return r.positive(text, v)
}

func (r *listReader) positive(text string, v si.Angle) (si.Typed[si.Angle], error) {
	if v <= 0 {
		return si.Typed[si.Angle]{}, r.refuse("sigma", "a standard deviation must be greater than zero; given %q", text)
	}
	return si.Typed[si.Angle]{Text: text, Value: v, Set: true}, nil
}

// looksAngle tells whether a text begins with a number and ends in a unit of angle.
func looksAngle(text string) bool {
	if _, err := si.ParseLength(text, si.Metric); err == nil {
		return false
	}
	_, err := si.ParseAngle(text, si.Metric)
	return err == nil
}

// parted splits two quantities that stand side by side, the second being one of
// which second is true.
func parted(text string, second func(string) bool) (a, b string, ok bool) {
	const between = " ,/@"
	for i, c := range text {
		if !strings.ContainsRune(between, c) {
			continue
		}
		a, b = strings.Trim(text[:i], between), strings.Trim(text[i:], between)
		if _, err := si.ParseLength(a, si.Metric); err == nil && second(b) {
			return a, b, true
		}
	}
	return "", "", false
}

// place reads a row fixed or near.
func (r *listReader) place(kind string, f map[string]string) error {
	if f["from"] != "" || f["at"] != "" {
		return r.refuse("", "a row %s names one station, in at", kind)
	}
	if f["sigma"] != "" {
		return r.refuse("sigma", "a row %s has no standard deviation", kind)
	}
	i, err := r.station("to", f["to"])
	if err != nil {
		return err
	}
	cs, err := r.coordinates(f["value"])
	if err != nil {
		return err
	}
	p := &r.out.Points[i]
	set := func(axis int, v float64) error {
		if kind == "near" {
			p.Near[axis] = true
			setCoord(&p.NearAt, axis, v)
			return nil
		}
		if p.Fixed[axis] && coord(p.FixedAt, axis) != v {
			return r.refuse("value", "station %q was fixed elsewhere before", p.Name)
		}
		p.Fixed[axis] = true
		setCoord(&p.FixedAt, axis, v)
		return nil
	}
	axes := [][]int{{2}, {0, 1}, {0, 1, 2}}[len(cs)-1]
	for k, axis := range axes {
		if err := set(axis, cs[k]); err != nil {
			return err
		}
	}
	return nil
}

// coordinates reads one, two or three lengths, with one unit behind all or a unit
// each.
func (r *listReader) coordinates(text string) ([]float64, error) {
	wrong := func() ([]float64, error) {
		return nil, r.refuse("value", "%q is not one, two or three lengths with a unit; write for example 10 0 0 m", text)
	}
	words := strings.FieldsFunc(text, func(c rune) bool { return c == ' ' || c == '\t' || c == ';' })
	if len(words) == 0 {
		return wrong()
	}
	// One unit behind plain numbers.
	last := words[len(words)-1]
	unit := strings.TrimLeft(last, "+-−0123456789.,")
	numbers := words
	if unit != "" {
		numbers = append(append([]string(nil), words[:len(words)-1]...), strings.TrimSuffix(last, unit))
		if numbers[len(numbers)-1] == "" {
			numbers = numbers[:len(numbers)-1]
		}
		if out, ok := r.each(numbers, unit); ok {
			return out, nil
		}
	}
	// A unit each: group the words from the left, as many as make a length.
	var out []float64
	for from := 0; from < len(words); {
		to := from
		for k := min(len(words), from+6); k > from; k-- {
			if v, err := si.ParseLength(strings.Trim(strings.Join(words[from:k], " "), ","), r.display); err == nil {
				out, to = append(out, float64(v)), k
				break
			}
		}
		if to == from {
			return wrong()
		}
		from = to
	}
	if len(out) > 3 {
		return wrong()
	}
	return out, nil
}

// each reads plain numbers in one unit.
func (r *listReader) each(numbers []string, unit string) ([]float64, bool) {
	if len(numbers) < 1 || len(numbers) > 3 {
		return nil, false
	}
	var out []float64
	for _, n := range numbers {
		v, err := si.ParseLength(strings.TrimSuffix(n, ",")+" "+unit, r.display)
		if err != nil || strings.Trim(n, "+-−0123456789.,") != "" {
			return nil, false
		}
		out = append(out, float64(v))
	}
	return out, true
}

// settle holds the coordinates that the list says nothing of.
func (r *listReader) settle() {
	touched := make([][3]bool, len(r.out.Points))
	for _, o := range r.out.Observations {
		for _, c := range o.coordinates() {
			touched[c.point][c.axis] = true
		}
	}
	level, height, seen := !r.height, 0.0, false
	for _, p := range r.out.Points {
		for _, z := range []struct {
			set bool
			at  geom.Vec
		}{{p.Fixed[2], p.FixedAt}, {p.Near[2], p.NearAt}} {
			if !z.set {
				continue
			}
			if seen && z.at.Z != height {
				level = false
			}
			height, seen = z.at.Z, true
		}
	}
	var held []string
	for i := range r.out.Points {
		p := &r.out.Points[i]
		for axis := range 3 {
			if p.Fixed[axis] {
				continue
			}
			switch {
			case axis == 2 && level:
				if touched[i][axis] {
					held = append(held, p.Name)
					r.out.level = append(r.out.level, i)
				}
				p.Fixed[axis] = true
				p.FixedAt.Z = height
			case !touched[i][axis]:
				p.Fixed[axis] = true
				setCoord(&p.FixedAt, axis, coord(p.NearAt, axis))
			}
		}
	}
	if len(held) > 0 {
		sort.Strings(held)
		r.out.Notes = append(r.out.Notes, fmt.Sprintf("No row tells heights: all stations are taken to lie at one height, %s.", si.FormatLength(si.Length(height), si.Metric)))
	}
	assumed := 0
	for _, o := range r.out.Observations {
		if o.Assumed {
			assumed++
		}
	}
	if assumed > 0 {
		r.out.Notes = append(r.out.Notes, fmt.Sprintf("Of the rows, %d are assumptions and not measurements.", assumed))
	}
}
