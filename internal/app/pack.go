package app

import (
	"fmt"
	"time"

	"dawnsmith/day/dose"
	"dawnsmith/lamp/predict"
	"dawnsmith/paper/buildpack"
	"dawnsmith/paper/draw"
)

// PackOptions are what a build pack needs besides the lamp.
type PackOptions struct {
	Date      time.Time
	Size      draw.PageSize
	ForOthers bool
	Serial    string
	Files     []draw.Attachment
	// Guide makes it a guide for strangers.
	Guide *buildpack.Guide
}

// Pack makes the build pack of an answer. The error is a *buildpack.Refused
// when a stop stands.
func (ans *Answer) Pack(o PackOptions) (*buildpack.Pack, error) {
	in := buildpack.Input{
		Prediction: predict.Uncertain{Result: ans.Result, Values: ans.Values}, Bill: ans.Bill,
		Findings: ans.Session.Findings, Date: o.Date, Size: o.Size, ForOthers: o.ForOthers, Serial: o.Serial, Dose: ans.doseText(), Files: o.Files, Guide: o.Guide,
	}
	if ans.Fit != nil {
		in.Cut = ans.Fit.Plan
	}
	for _, c := range ans.Checks {
		in.Checks = append(in.Checks, buildpack.Check{Name: c.Name, Wanted: string(c.Bound) + " " + c.LimitText(), Found: c.Text(c.Got), Met: c.Met()})
	}
	return buildpack.Make(in)
}

// doseText says how long to sit at the lamp and by which rule.
func (ans *Answer) doseText() string {
	if !ans.Worked() {
		return ""
	}
	p := ans.Session.Photopic
	if p.Rule == dose.None {
		return "No session length: " + p.Why + "."
	}
	return fmt.Sprintf("About %.0f minutes facing the lamp with the eyes at the meter's place, by a published rule: %s.", p.Minutes, p.Why)
}
