package sheet

import (
	"fmt"
	"math"
	"time"

	"roodbeam/engine/drawing"
	"roodbeam/engine/phase"
)

// barsScene returns the bar chart of tasks over the calendar, not to scale:
// one row per task between the first start and the last end.
func (in *Input) barsScene(tasks []phase.Task, from, to time.Time, w float64) drawing.Scene {
	const rowH, head, names = 5.2, 12.0, 128.0
	h := head + float64(len(tasks))*rowH + 2
	s := drawing.Scene{WidthMM: w, HeightMM: h, Title: "Phase plan"}
	days := math.Max(to.Sub(from).Hours()/24, 1)
	chart := w - names - 4
	at := func(t time.Time) float64 {
		return names + math.Min(math.Max(t.Sub(from).Hours()/24/days, 0), 1)*chart
	}
	in.calendarRule(&s, from, to, at, head, h)
	phases := map[string]int{}
	for _, t := range tasks {
		if _, ok := phases[t.Phase]; !ok {
			phases[t.Phase] = len(phases)
		}
	}
	for i, t := range tasks {
		y := head + float64(i)*rowH
		if i%2 == 1 {
			s.Box(drawing.LayerRoom, drawing.Pen{}, &drawing.Wash, drawing.Rect{X: 0, Y: y, W: names, H: rowH})
		}
		name := t.ID + "  " + t.Name
		s.Write(drawing.LayerText, drawing.Text{X: 1, Y: y + 3.7, Size: 2.4, Value: drawing.Shorten(name, names-36, 2.4, t.Critical), Bold: t.Critical})
		s.Write(drawing.LayerText, drawing.Text{X: names - 2, Y: y + 3.7, Size: 2.1, Anchor: "end", Value: drawing.Shorten(t.By, 32, 2.1, false), Colour: drawing.Soft})
		if t.Start.IsZero() || t.End.IsZero() {
			s.Write(drawing.LayerText, drawing.Text{X: names + 2, Y: y + 3.7, Size: 2.1, Value: "date open", Colour: drawing.Soft})
			continue
		}
		x0, x1 := at(t.Start), at(t.End)
		fill := drawing.Distinct(phases[t.Phase])
		s.Box(drawing.LayerUnits, drawing.Pen{}, &fill, drawing.Rect{X: x0, Y: y + 1.1, W: math.Max(x1-x0, 0.8), H: rowH - 2.2})
		if t.Critical {
			s.Box(drawing.LayerUnits, drawing.Solid(0.4, drawing.Ink), nil, drawing.Rect{X: x0, Y: y + 1.1, W: math.Max(x1-x0, 0.8), H: rowH - 2.2})
		}
		if t.Sunday {
			triangle(&s, drawing.LayerUnits, [2]float64{math.Min(x1+2, w-2), y + rowH/2}, drawing.Clay)
		}
	}
	return s
}

// calendarRule draws the dates over the chart: weeks while they have room, else
// months, else years.
func (in *Input) calendarRule(s *drawing.Scene, from, to time.Time, at func(time.Time) float64, head, h float64) {
	s.Stroke(drawing.LayerRoom, drawing.Solid(0.3, drawing.Ink), [2]float64{0, head}, [2]float64{s.WidthMM, head})
	weeks := to.Sub(from).Hours() / 24 / 7
	step := func(t time.Time) time.Time { return t.AddDate(0, 0, 7) }
	first := from.AddDate(0, 0, (8-int(from.Weekday()))%7) // the Monday on or after
	layout := "2 Jan"
	if weeks > 26 {
		first = time.Date(from.Year(), from.Month()+1, 1, 0, 0, 0, 0, from.Location())
		step = func(t time.Time) time.Time { return t.AddDate(0, 1, 0) }
		layout = "Jan 2006"
	}
	if weeks > 120 {
		first = time.Date(from.Year()+1, 1, 1, 0, 0, 0, 0, from.Location())
		step = func(t time.Time) time.Time { return t.AddDate(1, 0, 0) }
		layout = "2006"
	}
	const most = 200
	last := math.Inf(-1)
	for t, n := first, 0; !t.After(to) && n < most; t, n = step(t), n+1 {
		x := at(t)
		s.Stroke(drawing.LayerRoom, drawing.Solid(0.1, drawing.Faint), [2]float64{x, head}, [2]float64{x, h})
		text := t.Format(layout)
		if x-last < drawing.TextWidth(text, 2.2, false)+3 || x+0.6+drawing.TextWidth(text, 2.2, false) > s.WidthMM {
			continue
		}
		last = x
		s.Write(drawing.LayerText, drawing.Text{X: x + 0.6, Y: head - 1.4, Size: 2.2, Value: text, Colour: drawing.Soft})
	}
	s.Write(drawing.LayerText, drawing.Text{X: 1, Y: head - 1.4, Size: 2.2, Bold: true, Value: fmt.Sprintf("task; who (%s to %s)", day(from), day(to))})
}
