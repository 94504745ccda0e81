package text

import (
	"fmt"
	"math"

	"ringtrue/internal/ear"
	"ringtrue/internal/play"
)

// EarHead is the first line of what the ear tells.
func EarHead(r *ear.Report) string {
	switch {
	case r.HighFret != nil:
		return fmt.Sprintf("FRET %d IS PROBABLY HIGH", r.HighFret.Fret)
	case !r.Read:
		return "NO FRET NAMED"
	case r.Compared == 0:
		return "NOTHING TO COMPARE"
	case r.BeyondChance || r.Hand.Known() || len(r.Look) > 0:
		return "EAR AND PREDICTION DISAGREE"
	}
	return "EAR AND PREDICTION AGREE"
}

// EarBasis says what it rests on.
func EarBasis(r *ear.Report) string {
	words := fmt.Sprintf("%s, %d buzzing", Count(r.Answers, "answer"), r.Buzzing)
	if r.Read {
		return words + "; crowns as read"
	}
	return words + "; no crown read, one answer in ten taken to be wrong"
}

// EarWarnings are what to know before the answer is used.
func EarWarnings(r *ear.Report) []string {
	out := []string{}
	if r.NotWeighed > 0 {
		out = append(out, fmt.Sprintf("%s not used: the readings don't determine the crowns of those notes", Count(r.NotWeighed, "answer")))
	}
	return out
}

// EarSays is what follows from the answers.
func EarSays(r *ear.Report) []string {
	if !r.Read {
		return earFret(r)
	}
	return earCompared(r)
}

// earFret says which fret stands high by the ear.
func earFret(r *ear.Report) []string {
	const gauge = "The ear misses a fret that is less than 0.10 mm high. A gauge sees 0.005 mm."
	if h := r.HighFret; h != nil {
		return []string{
			fmt.Sprintf("Fret %d: chance %s that it is %.2f mm or more high; if so, about %.2f mm.", h.Fret, earChance(h.Chance), ear.HighMM, h.MM),
			fmt.Sprintf("Read fret %d and its neighbours with a gauge before you press or file. %s", h.Fret, gauge),
		}
	}
	out := []string{fmt.Sprintf("A fret is named from a chance of %.1f on. None named doesn't mean level.", ear.SureChance)}
	if len(r.Likeliest) > 0 && r.Likeliest[0].Chance >= 0.2 {
		l := r.Likeliest[0]
		out[0] = fmt.Sprintf("The likeliest is fret %d, chance %.2f. ", l.Fret, l.Chance) + out[0]
	}
	return append(out, "Play every note at three touches to see more. "+gauge)
}

// earChance is a chance in words that promise no more than the model can.
func earChance(p float64) string {
	switch {
	case p > 0.99:
		return "over 0.99"
	case p < 0.01:
		return "under 0.01"
	}
	return fmt.Sprintf("%.2f", p)
}

// earCompared says how many answers disagree and what they have in common.
func earCompared(r *ear.Report) []string {
	chance := fmt.Sprintf("one in ten wrong gives %.1f, give or take %.1f", r.Expected, r.UExpected)
	if r.Compared == 0 {
		return []string{"No answer is of a note that is surely clear or surely buzzes. Play more notes."}
	}
	out := []string{}
	sure := Count(r.Compared, "sure note")
	k := r.Wrongs
	some := fmt.Sprintf("%d of %s disagree", k, sure)
	if k == 1 {
		some = fmt.Sprintf("1 of %s disagrees", sure)
	}
	switch {
	case k == 0:
		out = append(out, fmt.Sprintf("None of %s disagrees with the prediction.", sure))
	case r.BeyondChance:
		out = append(out, some+"; "+chance+". More than slips of the ear.")
	case r.Hand.Known() || len(r.Look) > 0:
		out = append(out, some+"; "+chance+".")
	default:
		out = append(out, some+"; "+chance+". Play those again: only what repeats counts.")
	}
	if force, known := r.Hand.Get(); known {
		out = append(out, earHand(force))
	}
	for _, l := range r.Look {
		out = append(out, EarLook(l))
	}
	return out
}

// earHand says which force fits.
func earHand(force float64) string {
	if force > 1 {
		return fmt.Sprintf("The answers fit a pluck %.1f times as hard as the touch, or a lower action. Measure the action, then set setup.touch to how you play.", force)
	}
	return fmt.Sprintf("The answers fit a pluck of %.1f times the touch's force, or a higher action. Measure the action, then set setup.touch to how you play.", force)
}

// EarLook says what disagreements have in common and what to look at.
func EarLook(l ear.Look) string {
	many := fmt.Sprintf("%d of %d buzz, %.1f expected", l.Notes, l.Of, l.Expected)
	switch l.Cause {
	case ear.Nut:
		if l.String == 0 {
			return fmt.Sprintf("Open strings: %s. Check the nut slots.", many)
		}
		return fmt.Sprintf("String %d open: %s. Check its nut slot.", l.String, many)
	case ear.String:
		return fmt.Sprintf("String %d, fretted: %s. Check its saddle slot, its windings and its action.", l.String, many)
	case ear.Fret:
		return fmt.Sprintf("Stopped at fret %d: %s. Press on frets %d and %d: is one loose?", l.Fret, many, l.Fret, l.Fret+1)
	}
	return many + "."
}

// EarWhy says of one answer why no crown explains it, and what to look at.
func EarWhy(d ear.Disagreement) string {
	if d.Heard != play.Buzzes {
		if d.Cause == ear.Hand {
			return "it must buzz at this touch: you plucked more lightly, or the action is higher"
		}
		return "it must buzz at this touch. Play it again; measure this string's action"
	}
	lead := "no crown lies beyond it"
	if mm, known := d.MarginMM.Get(); known {
		lead = fmt.Sprintf("it clears every crown by %.2f mm", math.Floor(mm*100)/100)
	}
	switch d.Cause {
	case ear.Hand:
		return lead + ": you plucked harder, or the action is lower"
	case ear.Nut:
		return lead + ". Check the nut slot: too low, or too wide"
	case ear.String:
		return lead + ". Check the string's saddle slot and windings"
	case ear.Fret:
		return lead + fmt.Sprintf(". Is fret %d or %d loose?", d.Fret, d.Fret+1)
	}
	return lead + ". Play it again; if it repeats, check for a loose fret, windings, saddle, hardware"
}

// EarLine is one disagreement.
func EarLine(d ear.Disagreement) string {
	at := fmt.Sprintf("fret %d", d.Fret)
	if d.Fret == 0 {
		at = "open"
	}
	return fmt.Sprintf("string %d, %s, %s: heard %s; %s", d.String, at, d.Touch, d.Heard, d.Why)
}

// EarLikeliest heads the chances of single frets.
const EarLikeliest = "Chance that a fret is high"

// EarChances are the likeliest frets.
func EarChances(r *ear.Report) (out []string) {
	for _, h := range r.Likeliest {
		out = append(out, fmt.Sprintf("fret %d: %s, if so about %.2f mm", h.Fret, earChance(h.Chance), h.MM))
	}
	return append(out, "no fret high: "+earChance(r.NoneHigh.Or(0)))
}

// EarRests says what the answer rests on.
func EarRests(r *ear.Report) []string {
	const hears = "an ear that hears every contact over setup.graze and three in ten of those under it. Each pluck is within about 20 % of the player's own, and one answer in ten is wrong"
	if r.Read {
		return []string{hears,
			"compared: notes that clear every crown by 0.10 mm or more, and notes that still buzz at 0.7 of the touch. Each does so in 95 of 100 draws of the crowns within their uncertainty",
			"heights come from the readings alone: an answer never moves a crown"}
	}
	return []string{hears,
		"tried beside each fret: a pluck from half to twice the touch; action 0.10 mm and nut 0.05 mm off, crowns that wave by up to 0.03 mm",
		"one fret high at a time; before any answer, none high has a chance of one half"}
}

// EarMore says what --all adds.
func EarMore(r *ear.Report) string {
	if r.Read {
		return "every answer that disagrees, and what this rests on"
	}
	return "the likeliest frets, and what this rests on"
}
