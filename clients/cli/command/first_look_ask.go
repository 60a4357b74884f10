package command

import (
	"bufio"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
)

// question is one question of a first look and the option that answers it.
type question struct {
	text string
	flag string
	// words are the answers there are; nil: any.
	words []string
	// said is the answer as the option would be given; "" where there is none.
	said func(cmd *firstLookCmd) string
	set  func(cmd *firstLookCmd, answer string) error
}

func text(ask, flag string, at func(*firstLookCmd) *string, words ...string) question {
	return question{ask, flag, words, func(cmd *firstLookCmd) string { return *at(cmd) }, func(cmd *firstLookCmd, a string) error {
		*at(cmd) = a
		return nil
	}}
}

func whole(ask, flag string, at func(*firstLookCmd) *int32) question {
	return question{ask, flag, nil, func(cmd *firstLookCmd) string {
		if *at(cmd) == 0 {
			return ""
		}
		return fmt.Sprint(*at(cmd))
	}, func(cmd *firstLookCmd, a string) error {
		n, err := strconv.ParseInt(a, 10, 32)
		if err != nil {
			return fmt.Errorf("a whole number is wanted; given %q", a)
		}
		*at(cmd) = int32(n)
		return nil
	}}
}

// firstLookQuestions are the questions in their order; beams are asked for again
// until there are no more.
var firstLookQuestions = []question{
	text("1. How big is the room? Length, wall to wall", "length", func(c *firstLookCmd) *string { return &c.Length }),
	text("   Width", "width", func(c *firstLookCmd) *string { return &c.Width }),
	text("   Height of the ceiling", "ceiling", func(c *firstLookCmd) *string { return &c.Ceiling }),
	{"2. What beams are there? One as name=height@distance (empty when there are no more)", "beam", nil,
		func(*firstLookCmd) string { return "" }, func(cmd *firstLookCmd, a string) error {
			cmd.Beam = append(slices.Clone(cmd.Beam), a)
			return nil
		}},
	text("3. How big is the platform? As width x depth x height", "platform", func(c *firstLookCmd) *string { return &c.Platform }),
	text("4. What is the supply? E.g. 1ph3w/120V/125A", "supply", func(c *firstLookCmd) *string { return &c.Supply }),
	text("5. How does one get in? Narrowest door as width x height", "door", func(c *firstLookCmd) *string { return &c.Door }),
	whole("   Steps on the way in", "steps", func(c *firstLookCmd) *int32 { return &c.Steps }),
	{"6. How many cameras?", "cameras", nil, func(cmd *firstLookCmd) string {
		if cmd.Cameras == nil {
			return ""
		}
		return fmt.Sprint(*cmd.Cameras)
	}, func(cmd *firstLookCmd, a string) error {
		n, err := strconv.ParseInt(a, 10, 32)
		if err != nil {
			return fmt.Errorf("a whole number is wanted, 0 for none; given %q", a)
		}
		v := int32(n)
		cmd.Cameras = &v
		return nil
	}},
	text("7. What is the room used for?", "uses", func(c *firstLookCmd) *string { return &c.Uses }),
	text("   What is wrong with the light today?", "trouble", func(c *firstLookCmd) *string { return &c.Trouble }),
	text("8. How much money is there?", "money", func(c *firstLookCmd) *string { return &c.Money }),
	text("   By when, and why?", "deadline", func(c *firstLookCmd) *string { return &c.Deadline }),
	whole("Hazards. Year built", "year", func(c *firstLookCmd) *int32 { return &c.Year }),
	whole("   Year of the last alteration", "altered", func(c *firstLookCmd) *int32 { return &c.Altered }),
	text("   Is it protected?", "protected", func(c *firstLookCmd) *string { return &c.Protect }, "none", "listed", "worth_preserving", "unknown"),
	text("   Does somebody else own it?", "landlord", func(c *firstLookCmd) *string { return &c.Landlord }, "yes", "no", "unknown"),
	text("   Detectors of the fire alarm?", "fire-alarm", func(c *firstLookCmd) *string { return &c.Alarm }, "smoke", "heat", "beam", "aspirating", "none", "unknown"),
	text("   Is the cellar, or a wall, damp?", "damp", func(c *firstLookCmd) *string { return &c.Damp }, "yes", "no", "unknown"),
	text("   Bats or nesting birds?", "bats", func(c *firstLookCmd) *string { return &c.Bats }, "yes", "no", "unknown"),
	{"Compass bearing toward the platform, from the seats, in degrees", "north", nil, func(cmd *firstLookCmd) string {
		if cmd.North == nil {
			return ""
		}
		return fmt.Sprint(*cmd.North)
	}, func(cmd *firstLookCmd, a string) error {
		deg, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(a, "°"), "deg")), 64)
		if err != nil || deg < 0 || deg > 360 {
			return fmt.Errorf("degrees from 0 to 360 are wanted; given %q", a)
		}
		cmd.North = &deg
		return nil
	}},
}

// ask puts the questions that no option has answered on standard error, so that
// the card alone is on standard output. Each answer is checked as it is typed, and
// asked for again; an empty one means unknown. When the answers end early, the
// rest is unknown, and the command line that goes on from there is printed.
func (cmd *firstLookCmd) ask(c *call, s *session) error {
	lines := make(chan string)
	go func() {
		defer close(lines)
		for in := bufio.NewScanner(c.in); in.Scan(); {
			select {
			case lines <- strings.TrimSpace(in.Text()):
			case <-c.ctx.Done():
				return
			}
		}
	}()
	for _, q := range firstLookQuestions {
		if q.said(cmd) != "" {
			continue
		}
		prompt := q.text
		if q.words != nil {
			prompt += " (" + strings.Join(q.words, ", ") + ")"
		}
		for {
			fmt.Fprintf(c.ask, "%s: ", prompt)
			var answer string
			more := true
			select {
			case answer, more = <-lines:
			case <-c.ctx.Done():
				cmd.resume(c)
				return c.ctx.Err()
			}
			if !more {
				cmd.resume(c)
				return nil
			}
			if answer == "" {
				break
			}
			if err := cmd.answer(c, s, q, answer); err != nil {
				fmt.Fprintf(c.ask, "   %v\n   Once more, or empty for unknown.\n", err)
				continue
			}
			if q.flag != "beam" {
				break
			}
		}
	}
	return nil
}

// answer takes one answer when the server can read all there is with it.
func (cmd *firstLookCmd) answer(c *call, s *session, q question, answer string) error {
	if q.words != nil {
		answer = strings.ReplaceAll(strings.ToLower(answer), " ", "_")
		if !slices.Contains(q.words, answer) {
			return fmt.Errorf("%q is none of %s", answer, strings.Join(q.words, ", "))
		}
	}
	with := *cmd
	if err := q.set(&with, answer); err != nil {
		return err
	}
	req, problems := with.request()
	if len(problems) > 0 {
		p := problems[0]
		p.Field = "" // the question says it
		return errors.New(p.String())
	}
	_, err := s.Survey.FirstLook(c.ctx, req)
	if st := status.Convert(err); st.Code() == codes.InvalidArgument {
		var says []string
		for _, p := range fieldProblems(st, nil) {
			says = append(says, p.Message)
		}
		if len(says) == 0 {
			says = append(says, plain(st.Message()))
		}
		return fmt.Errorf("%s", strings.Join(says, "; "))
	}
	if err != nil {
		return fmt.Errorf("%s", plain(status.Convert(err).Message()))
	}
	*cmd = with
	return nil
}

// resume prints the command line with every answer so far.
func (cmd *firstLookCmd) resume(c *call) {
	line := []string{invoked() + " first-look --ask"}
	if cmd.Units != "us" {
		line = append(line, "--units "+cmd.Units)
	}
	add := func(flag, said string) { line = append(line, "--"+flag+" "+quoted(said)) }
	for _, q := range firstLookQuestions {
		if said := q.said(cmd); said != "" {
			add(q.flag, said)
		}
		if q.flag == "beam" {
			for _, b := range cmd.Beam {
				add(q.flag, b)
			}
		}
	}
	fmt.Fprintf(c.ask, "\n\nTo go on from here:\n  %s\n", strings.Join(line, " "))
}

// quoted writes a text so that a shell reads it as one word.
func quoted(s string) string {
	if s != "" && strings.Trim(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_./-") == "" {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}
