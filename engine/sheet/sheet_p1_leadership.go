package sheet

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/cost"
	"roodbeam/engine/finding"
)

var _ = register(Kind{Code: "P1", Order: 10, Title: "Summary for the church's leadership", Reader: "leadership", Words: moneyWords, Fill: leadership})

// viewsShare is how much of the page's width a picture takes, so that the words
// keep their room.
const viewsShare = 0.25

func leadership(in *Input, page Page) Sheet {
	e := in.Estimate
	blocks := []Block{
		{Span: true, Facts: []Fact{
			{"new lights", quantity(float64(len(in.Placed)))},
			{fmt.Sprintf("likely price, %s %% for surprises included", quantity(e.ContingencyPct)), in.atLeast(e.WithContingency.Likely)},
			{"range, low to high", in.priceRange()},
			{"stages of work that can stand alone", quantity(float64(len(e.Phases)))},
			{"earliest finish, if every answer comes in time", day(in.Phases.Finish)},
		}},
	}
	_, _, w, _ := page.Frame()
	if v, ok := in.viewsScene("seat-", w*viewsShare*float64(in.viewsOf("seat-"))); ok {
		blocks = append(blocks, Block{Span: true, Drawing: &v})
	}
	blocks = append(blocks, []Block{
		{Heading: "What is wrong today"},
		{Bullets: in.wrongToday()},
		{Heading: "What will be better"},
		{Bullets: in.better()},
		{Table: in.lightTable()},
		{Heading: "What the congregation will see"},
		{Bullets: in.visible()},
		{Heading: "What is not in the price"},
		{Bullets: in.notIncluded()},
		{Heading: "Running cost"},
		{Text: in.runningText()},
		{ColumnBreak: true},
		{Heading: "The work in stages, and its price"},
		{Table: in.stageTable()},
	}...)
	if len(in.Options) > 0 {
		blocks = append(blocks, Block{Heading: "Other ways to do it"}, Block{Table: in.optionTable()})
	}
	if e.CapMinor > 0 {
		blocks = append(blocks, Block{Text: in.capText()})
	}
	if o := e.Offer; o != nil {
		blocks = append(blocks, Block{Caution: in.offerText(*o)})
	}
	blocks = append(blocks,
		Block{Heading: "What must be agreed or signed first"},
		Block{Table: in.approvals()},
	)
	if open := in.leadershipFindings(); len(open) > 0 {
		blocks = append(blocks, Block{Heading: "Questions for the leadership"}, Block{Bullets: open})
	}
	blocks = append(blocks,
		Block{Heading: "Words for the minutes"},
		Block{Text: in.voteText()},
		Block{SignOff: &SignOff{Role: "for the church's leadership", Text: "Decision on money and permission only. It does not replace the signatures of the trades."}},
	)
	return Sheet{Columns: 2, Blocks: blocks}
}

func (in *Input) wrongToday() []string {
	var out []string
	lights, watts, over, switched := 0, 0.0, 0, 0
	for _, x := range in.Survey.ExistingUnit {
		lights += x.Count
		watts += float64(x.Count) * x.Watts.Or(0).Watts()
		if x.OverPlatform {
			over += x.Count
		}
		if x.Dimmer == "" {
			switched += x.Count
		}
	}
	if lights > 0 {
		out = append(out, fmt.Sprintf("The room has %s today; together they draw about %s.",
			plural(lights, "old light", "old lights"), number(watts, 0, "watts")))
	}
	if over > 0 {
		out = append(out, plural(over, "old light hangs", "old lights hang")+" over the platform, in the view of what people came to see.")
	}
	if switched > 0 && len(in.Survey.Dimmers) > 0 {
		out = append(out, plural(switched, "old light can", "old lights can")+" only be switched, not dimmed.")
	}
	if n := in.openStops(); n > 0 {
		out = append(out, plural(n, "point", "points")+" found in the survey or the design must be settled by a licensed or qualified person before work may start.")
	}
	if n := len(in.Room.Questions); n > 0 {
		out = append(out, plural(n, "thing about the building is", "things about the building are")+" still unknown; until they are answered, the price stays a range.")
	}
	if len(out) == 0 {
		out = append(out, "The survey records no old lights yet.")
	}
	return out
}

func (in *Input) better() []string {
	out := []string{}
	reached, total := 0, 0
	for _, z := range in.Light.Zones {
		if z.TargetLx <= 0 {
			continue
		}
		total++
		if z.AverageLx >= 0.8*z.TargetLx {
			reached++
		}
	}
	if total > 0 {
		out = append(out, fmt.Sprintf("Faces can be seen: %d of %s come within a fifth of the light that was asked for, or above it.", reached, plural(total, "place", "places")))
	}
	if len(in.Presets.Looks) > 0 {
		var names []string
		for _, l := range in.Presets.Looks {
			names = append(names, l.Name)
		}
		where := ""
		if in.Presets.Panel != "" {
			where = " at " + in.Presets.Panel
		}
		out = append(out, plural(len(names), "button", "buttons")+where+" set the room: "+strings.Join(names, ", ")+". No computer is needed.")
	}
	if n := in.removedCount(); n > 0 {
		out = append(out, plural(n, "old light goes", "old lights go")+", which opens the view.")
	}
	if len(out) == 0 {
		out = append(out, "No lights are placed yet.")
	}
	return out
}

func (in *Input) removedCount() int {
	n := 0
	for _, x := range in.Survey.ExistingUnit {
		if x.Fate == "remove" {
			n += x.Count
		}
	}
	return n
}

func (in *Input) lightTable() *Table {
	t := &Table{Heads: []string{"Place", "Light asked for", "Light calculated, average", "Darkest face"}, Align: "lrrr",
		Note: "Light is counted in lux (lx) on faces turned to the congregation. For comparison: 500 lx is the level European practice asks for at an office desk (EN 12464-1). All values are calculated."}
	for _, z := range in.Light.Zones {
		t.Rows = append(t.Rows, []string{z.Name, in.lux(z.TargetLx), in.lux(z.AverageLx), in.lux(z.MinLx)})
	}
	return t
}

func (in *Input) visible() []string {
	var out []string
	if used := in.linesInUse(); len(used) > 0 {
		out = append(out, "New lights hang from "+plural(len(used), "place", "places")+" in the room: "+strings.Join(used, ", ")+".")
	}
	if in.Brief.Limits.NoDrill {
		out = append(out, "Nothing is drilled; this wish of the church is kept as a limit of the design.")
	}
	if len(in.Brief.KeepInView) > 0 {
		out = append(out, "Kept in view: "+strings.Join(in.Brief.KeepInView, ", ")+".")
	}
	if len(out) == 0 {
		out = append(out, "Nothing is placed yet.")
	}
	return out
}

// atLeast writes a sum, as a lower bound where the estimate leaves something open.
func (in *Input) atLeast(minor int64) string {
	switch {
	case in.Estimate.Known():
		return in.money(minor)
	case minor == 0:
		return "no price yet"
	}
	return "at least " + in.money(minor)
}

// priceRange writes the whole estimate's range, with the reserve.
func (in *Input) priceRange() string {
	if in.Estimate.Known() {
		return in.span(in.Estimate.WithContingency)
	}
	return "not known yet"
}

func (in *Input) stageTable() *Table {
	e := in.Estimate
	t := &Table{Name: "stages", Heads: []string{"Stage", "What it is", "Likely", "With the sum for surprises", "Range with it"}, Align: "llrrr"}
	for _, p := range e.Phases {
		t.Rows = append(t.Rows, []string{p.Name, p.Title, in.money(p.Subtotal.Likely), in.money(p.WithContingency.Likely), in.span(p.WithContingency)})
	}
	t.Rows = append(t.Rows, []string{"All", "", in.atLeast(e.Total.Likely), in.atLeast(e.WithContingency.Likely), in.priceRange()})
	t.Note = fmt.Sprintf("The sum for surprises is %s %%. Price book: %s.", quantity(e.ContingencyPct), orText(e.Edition, "not stated"))
	return t
}

func (in *Input) optionTable() *Table {
	t := &Table{Name: "options", Heads: []string{"Option", "What it is", "Lights", "Likely, with the sum for surprises", "Range with it"}, Align: "llrrr"}
	for _, o := range in.Options {
		t.Rows = append(t.Rows, []string{o.Name, o.What, quantity(float64(o.Lights)), in.money(o.Price.Likely), in.span(o.Price)})
	}
	return t
}

func (in *Input) span(a cost.Amount) string { return in.money(a.Low) + " to " + in.money(a.High) }

func (in *Input) capText() string {
	e := in.Estimate
	if !e.Known() {
		return fmt.Sprintf("The limit named by the church is %s. It can't be held against a price yet: %s.", in.money(e.CapMinor), strings.Join(e.Open, "; "))
	}
	left := e.CapMinor - e.WithContingency.Likely
	if left >= 0 {
		return fmt.Sprintf("The limit named by the church is %s; the whole likely price leaves %s below it.", in.money(e.CapMinor), in.money(left))
	}
	return fmt.Sprintf("The limit named by the church is %s; the whole likely price is %s above it. The stages can be ordered one by one.", in.money(e.CapMinor), in.money(-left))
}

func (in *Input) offerText(o cost.Offer) string {
	text := fmt.Sprintf("A better split: bring %s worth %s from stage %s forward into stage %s. Stage %s then costs %s, stage %s costs %s, and %s of the limit is left.",
		strings.Join(o.Lines, ", "), in.money(o.MovedMinor), o.From, o.Into, o.Into, in.money(o.IntoWithContingency), o.From, in.money(o.FromWithContingency), in.money(o.LeftMinor))
	if o.Note != "" {
		text += " " + o.Note
	}
	return text
}

func (in *Input) notIncluded() []string {
	out := []string{
		"Repairs that come to light when ceilings, panels or old wiring are opened, beyond the sum for surprises.",
		"Removal of asbestos or other hazardous material, if an inspection finds any.",
		"Strengthening of beams or walls, if the structural engineer asks for it.",
		"Sound, video and heating, and any decoration after the works.",
		"Taxes and duties, unless a line of the shopping list names them.",
	}
	return out
}

// running is what the room draws before and after, W, all on.
type running struct{ old, fresh, house, stays float64 }

func (r running) after() float64 { return r.fresh + r.house + r.stays }

// running adds up the old lights and what is there after the works: the new
// lights, the house lights as converted (the figures of the house-light sheet)
// and the old lights that stay.
func (in *Input) running() running {
	r := running{fresh: in.Load.TotalW}
	converted := map[string]bool{}
	for _, g := range in.Load.HouseJob.Groups {
		if g.Fate == "relamp" || g.Fate == "replace" {
			converted[g.Name] = true
			r.house += g.AfterW
		}
	}
	for _, x := range in.Survey.ExistingUnit {
		w := float64(x.Count) * x.Watts.Or(0).Watts()
		r.old += w
		if x.Fate != "remove" && !converted[x.Name] {
			r.stays += w
		}
	}
	return r
}

// runningText sets today's light and that after the works side by side at the
// brief's hours and price: power × hours per week × 52; dimming makes both less.
func (in *Input) runningText() string {
	m, r := in.Brief.Money, in.running()
	before := "The survey names no old lights."
	if len(in.Survey.ExistingUnit) > 0 {
		before = fmt.Sprintf("The old lights draw %s all on.", number(r.old, 0, "watts"))
	}
	text := fmt.Sprintf("%s Afterwards the room draws %s all on: the new lights %s", before, number(r.after(), 0, "watts"), number(r.fresh, 0, "watts"))
	if r.house > 0 {
		text += fmt.Sprintf(", the house lights with new lamps %s (sheet P9)", number(r.house, 0, "watts"))
	}
	if r.stays > 0 {
		text += fmt.Sprintf(", old lights that stay %s", number(r.stays, 0, "watts"))
	}
	text += "."
	if m.HoursPerWeek > 0 && m.EnergyMinorPerKWh > 0 {
		year := func(w float64) string {
			return in.moneyIn(int64(math.Round(w/1000*m.HoursPerWeek*52*float64(m.EnergyMinorPerKWh))), m.Currency)
		}
		text += fmt.Sprintf(" At %s hours a week and %s per kilowatt-hour, full on all the time, today's lights cost %s a year, those afterwards %s; dimmed lights cost less.",
			quantity(m.HoursPerWeek), in.moneyIn(m.EnergyMinorPerKWh, m.Currency), year(r.old), year(r.after()))
		if s := in.Load.HouseJob.Saving; s.EnergyMinor > 0 {
			text += fmt.Sprintf(" The house lights alone save %s of that a year (sheet P9).", in.moneyIn(int64(math.Round(s.EnergyMinor)), m.Currency))
		}
	} else {
		text += " The price of a kilowatt-hour or the hours of use are not known yet."
	}
	return text
}

func (in *Input) approvals() *Table {
	t := &Table{Name: "approvals", Heads: []string{"What", "Who signs", "Why", "Signed on"}, WriteIn: []string{"Signed on"}, Align: "llll"}
	for _, g := range in.Phases.Gates {
		t.Rows = append(t.Rows, []string{g.Name, g.Who, g.Why, ""})
	}
	if len(in.Phases.Gates) == 0 {
		seen := map[finding.Owner]bool{}
		for _, f := range in.Findings {
			if f.Severity == finding.Stop && !seen[f.Owner] {
				seen[f.Owner] = true
				t.Rows = append(t.Rows, []string{"open points of sheet P18", string(f.Owner), "their trade owns the limit", ""})
			}
		}
	}
	return t
}

func (in *Input) leadershipFindings() []string {
	var out []string
	for _, f := range in.Findings {
		if f.Owner == finding.Leadership {
			r := in.rendered(f)
			out = append(out, r.Title+". "+r.Text+" "+r.Advice)
		}
	}
	return out
}

func (in *Input) voteText() string {
	e := in.Estimate
	if !e.Known() {
		return "There is no sum to decide on yet: " + strings.Join(e.Open, "; ") + "."
	}
	if e.WithContingency.Likely == 0 && len(e.Phases) == 0 {
		return "There is nothing to decide yet: no price has been worked out."
	}
	stage, amount := "the works", e.WithContingency.Likely
	if len(e.Phases) > 0 {
		stage = "stage " + e.Phases[0].Name
		if e.Phases[0].Title != "" {
			stage += " (" + e.Phases[0].Title + ")"
		}
		amount = e.Phases[0].WithContingency.Likely
		if o := e.Offer; o != nil && o.Into == e.Phases[0].Name {
			stage += ", with the parts brought forward,"
			amount = o.IntoWithContingency
		}
	}
	return fmt.Sprintf("“The leadership of %s approves %s of the lighting works as shown in revision %s of %s, up to a sum of %s including %s %% for surprises. "+
		"Nothing is ordered for a part of the work before the signature named for it has been given: licensed electrician, structural engineer, qualified rigger, and the bodies named above. "+
		"Any change that raises the sum comes back to the leadership.”",
		in.Name, stage, orText(in.Revision, "(none)"), in.Date, in.money(amount), quantity(e.ContingencyPct))
}
