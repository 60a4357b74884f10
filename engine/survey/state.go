package survey

// keep returns the elements of a list whose state is wanted.
func keep[T any](list []T, state func(*T) *State, want func(State) bool) []T {
	var out []T
	for _, e := range list {
		if want(*state(&e)) {
			out = append(out, e)
		}
	}
	return out
}

// Finished returns the survey of the finished room: what is to go is gone, what
// is planned stands, planned changes of ceiling, platform and floor are made. The
// floor of a gallery that goes stays a level, since heights were taken from it.
func Finished(s Survey) Survey {
	for _, g := range s.Galleries {
		if g.State == Removed && g.Floor.Set {
			s.Levels = append(append([]Level(nil), s.Levels...), Level{galleryLevel(g.Name), g.Floor})
		}
	}
	out := filtered(s, func(st State) bool { return st != Removed })
	out.Ceiling = changedCeiling(s.Ceiling, s.PlannedCeiling)
	out.Platform = changedPlatform(s.Platform, s.PlannedPlatform)
	out.Floor = changedFloor(s.Floor, s.PlannedFloor)
	return out
}

// Today returns the survey of the room as it stands: nothing planned, and what
// is to go still there.
func Today(s Survey) Survey {
	out := filtered(s, func(st State) bool { return st != Planned })
	// What is to go counts as there.
	for i := range out.Lines {
		stands(&out.Lines[i].State)
	}
	for i := range out.Solids {
		stands(&out.Solids[i].State)
	}
	for i := range out.Screens {
		stands(&out.Screens[i].State)
	}
	return out
}

// Changes tells whether anything of the room is planned or to be removed, so that
// the finished room is another than today's.
func Changes(s Survey) bool { return anythingPlanned(s) }

func stands(s *State) {
	if *s == Removed {
		*s = Existing
	}
}

// filtered copies every list that has states, so that the caller's survey stays
// as it is.
func filtered(s Survey, want func(State) bool) Survey {
	s.Lines = keep(s.Lines, func(e *HangingLine) *State { return &e.State }, want)
	s.Galleries = keep(s.Galleries, func(e *Gallery) *State { return &e.State }, want)
	s.Solids = keep(s.Solids, func(e *Solid) *State { return &e.State }, want)
	s.Screens = keep(s.Screens, func(e *Screen) *State { return &e.State }, want)
	s.Windows = keep(s.Windows, func(e *Window) *State { return &e.State }, want)
	s.Seating = keep(s.Seating, func(e *Seating) *State { return &e.State }, want)
	s.Eyes = keep(s.Eyes, func(e *Eye) *State { return &e.State }, want)
	s.Glosses = keep(s.Glosses, func(e *Gloss) *State { return &e.State }, want)
	s.Finishes = keep(s.Finishes, func(e *Finish) *State { return &e.State }, want)
	s.Dimmers = keep(s.Dimmers, func(e *Dimmer) *State { return &e.State }, want)
	s.Panels = keep(s.Panels, func(e *Panel) *State { return &e.State }, want)
	s.DataPlaces = keep(s.DataPlaces, func(e *DataPlace) *State { return &e.State }, want)
	s.Hazards = keep(s.Hazards, func(e *Hazard) *State { return &e.State }, want)
	s.Views = keep(s.Views, func(e *KeepInView) *State { return &e.State }, want)
	s.Conduits = keep(s.Conduits, func(e *Conduit) *State { return &e.State }, want)
	s.Walls = keep(s.Walls, func(e *Wall) *State { return &e.State }, want)
	for i := range s.Walls {
		s.Walls[i].Openings = keep(s.Walls[i].Openings, func(e *Opening) *State { return &e.State }, want)
	}
	s.Routes = append([]AccessRoute(nil), s.Routes...)
	for i := range s.Routes {
		s.Routes[i].Doors = keep(s.Routes[i].Doors, func(e *Door) *State { return &e.State }, want)
	}
	s.Platform.Flights = keep(s.Platform.Flights, func(e *StepFlight) *State { return &e.State }, want)
	return s
}

func over(l *L, change L) {
	if change.Set {
		*l = change
	}
}

func overText(t *string, change string) {
	if change != "" {
		*t = change
	}
}

func changedCeiling(c, by Ceiling) Ceiling {
	overText(&c.Shape, by.Shape)
	over(&c.Height, by.Height)
	over(&c.Ridge, by.Ridge)
	over(&c.Slope, by.Slope)
	over(&c.HipRun, by.HipRun)
	overText(&c.RidgeRun, by.RidgeRun)
	overText(&c.Material, by.Material)
	overText(&c.Above, by.Above)
	overText(&c.MayHang, by.MayHang)
	if len(by.Steps) > 0 {
		c.Steps = by.Steps
	}
	return c
}

func changedPlatform(p, by Platform) Platform {
	over(&p.Width, by.Width)
	over(&p.Depth, by.Depth)
	over(&p.Height, by.Height)
	over(&p.Riser, by.Riser)
	over(&p.ApronHeight, by.ApronHeight)
	over(&p.TallestSpeaker, by.TallestSpeaker)
	over(&p.ShortestSpeaker, by.ShortestSpeaker)
	overText(&p.Rating, by.Rating)
	if by.Steps > 0 {
		p.Steps = by.Steps
	}
	if len(by.Outline) > 0 {
		p.Outline = by.Outline
	}
	if len(by.Apron) > 0 {
		p.Apron = by.Apron
	}
	if len(by.Flights) > 0 {
		p.Flights = by.Flights
	}
	return p
}

func changedFloor(f, by Floor) Floor {
	overText(&f.Kind, by.Kind)
	overText(&f.Rating, by.Rating)
	overText(&f.Cover, by.Cover)
	overText(&f.Voids, by.Voids)
	over(&f.Rise, by.Rise)
	over(&f.RiseFromY, by.RiseFromY)
	over(&f.RiseToY, by.RiseToY)
	return f
}
