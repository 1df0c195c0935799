package circuit

import "math"

// sym is a symmetric 2×2 matrix, vec a pair: channel 1 and 2.
type sym struct{ a, b, d float64 } // [[a b] [b d]]
type vec struct{ x, y float64 }

// branch2 is branch for two channels with a shared plus: u is the voltage from
// plus to each minus, I = G·u + C.
type branch2 struct {
	g sym
	c vec
	r sym
	// (1 + R·G)⁻¹, not symmetric
	k [4]float64
}

func (m sym) times(v vec) vec { return vec{m.a*v.x + m.b*v.y, m.b*v.x + m.d*v.y} }

// through draws a node in through its series resistance: with K = (1+R·G)⁻¹,
// G' = G·K and C' = Kᵀ·C.
func (n *branch2) through(r sym) (sym, vec) {
	g := n.g
	n.r = r
	// M = 1 + R·G.
	m00, m01 := 1+r.a*g.a+r.b*g.b, r.a*g.b+r.b*g.d
	m10, m11 := r.b*g.a+r.d*g.b, 1+r.b*g.b+r.d*g.d
	inv := 1 / (m00*m11 - m01*m10)
	n.k = [4]float64{m11 * inv, -m01 * inv, -m10 * inv, m00 * inv}
	k := &n.k
	out := sym{
		a: g.a*k[0] + g.b*k[2],
		b: g.a*k[1] + g.b*k[3],
		d: g.b*k[1] + g.d*k[3],
	}
	return out, vec{k[0]*n.c.x + k[2]*n.c.y, k[1]*n.c.x + k[3]*n.c.y}
}

// inner is the node's voltage from its feeder's: K·(u - R·C).
func (n *branch2) inner(u vec) vec {
	d := n.r.times(n.c)
	u.x -= d.x
	u.y -= d.y
	return vec{n.k[0]*u.x + n.k[1]*u.y, n.k[2]*u.x + n.k[3]*u.y}
}

// offOhm stands for the open minus lead of a channel that is off.
const offOhm = 1e12

// solve2 is Solve with two channels. Unit voltages lie in pairs when every
// strip has both channels, one a unit when rows alternate.
func (f *Folded) solve2(l *FoldedLamp, n int) (FoldedResult, error) {
	if l.Interleaved {
		f.begin(n, l.VOC, l.Channels[0], nil)
		f.alternate(l)
	} else {
		f.begin(2*n, l.VOC, l.Channels[0], l.Channels[1])
	}
	f.joints(l, n)
	var minus [2]float64
	for c, r := range l.RMinus {
		minus[c] = min(r, offOhm)
	}
	in := sym{l.RPlus + minus[0], l.RPlus, l.RPlus + minus[1]}
	for {
		t := f.sweep2(l, in)
		if done, err := f.advance(t); err != nil {
			return FoldedResult{}, err
		} else if done {
			break
		}
	}
	r := FoldedResult{Rounds: f.rounds}
	if l.Interleaved {
		at := 0
		for i, u := range l.Units {
			f.tallyRow(&r, i%2, at, at+u)
			at += u
		}
		for c := range r.Mean {
			if r.Lit[c] > 0 {
				r.Mean[c] /= float64(r.Lit[c])
			}
		}
	} else {
		f.tally(&r, 0, f.uv, f.ui, 2)
		f.tally(&r, 1, f.uv, f.ui, 2)
	}
	r.Current = r.ChannelCurrent[0] + r.ChannelCurrent[1]
	return r, nil
}

// alternate gives the odd rows the second channel's law.
func (f *Folded) alternate(l *FoldedLamp) {
	f.laws[1] = l.Channels[1].curve()
	law := &f.laws[1]
	i, g := law.at(l.VOC)
	w := 0.0
	if law.kind == SeriesDiode {
		w = i/law.aOverB + law.w0
	}
	at := 0
	for row, u := range l.Units {
		if row%2 == 1 {
			for k := at; k < at+u; k++ {
				f.law[k], f.ui[k], f.ug[k], f.uw[k] = 1, i, g, w
			}
		}
		at += u
	}
}

func (f *Folded) tallyRow(r *FoldedResult, c, from, to int) {
	for k := from; k < to; k++ {
		amp := f.ui[k]
		r.ChannelCurrent[c] += amp
		r.UnitPower += amp * f.uv[k]
		if amp > LitCurrent {
			if r.Lit[c] == 0 || amp < r.Min[c] {
				r.Min[c] = amp
			}
			r.Lit[c]++
			r.Mean[c] += amp
			r.Max[c] = math.Max(r.Max[c], amp)
		}
	}
}

// pairR is the resistance matrix of r in each of the three conductors.
func pairR(r float64) sym { return sym{2 * r, r, 2 * r} }

func (f *Folded) sweep2(l *FoldedLamp, in sym) float64 {
	at := 0
	for i, units := range l.Units {
		b := &f.node2[i]
		*b = branch2{}
		if l.Interleaved {
			g, c := f.rowIn(l, at, units)
			if i%2 == 0 {
				b.g.a, b.c.x = g, c
			} else {
				b.g.d, b.c.y = g, c
			}
		} else {
			b.g, b.c = f.rowIn2(l, at, units)
		}
		at += units
	}
	n := len(l.Units)
	draw := func(i, towards int, r float64) {
		g, c := f.node2[i].through(pairR(r))
		to := &f.node2[towards]
		to.g = sym{to.g.a + g.a, to.g.b + g.b, to.g.d + g.d}
		to.c = vec{to.c.x + c.x, to.c.y + c.y}
	}
	for i := 0; i < l.FeedRow; i++ {
		draw(i, i+1, l.Bus[i])
	}
	for i := n - 1; i > l.FeedRow; i-- {
		draw(i, i-1, l.Bus[i-1])
	}
	f.node2[l.FeedRow].through(in)
	// From here on a node's c is its voltage pair.
	feed := &f.node2[l.FeedRow]
	feed.c = feed.inner(vec{l.VOC, l.VOC})
	for i := l.FeedRow - 1; i >= 0; i-- {
		f.node2[i].c = f.node2[i].inner(f.node2[i+1].c)
	}
	for i := l.FeedRow + 1; i < n; i++ {
		f.node2[i].c = f.node2[i].inner(f.node2[i-1].c)
	}
	t := 1.0
	at = 0
	for i, units := range l.Units {
		u := f.node2[i].c
		if l.Interleaved {
			v := u.x
			if i%2 == 1 {
				v = u.y
			}
			for k := range units {
				b := &f.far[at+k]
				v = (v - b.r*b.c) * b.k
				t = f.propose(at+k, v, t)
			}
		} else {
			for k := range units {
				u = f.far2[at+k].inner(u)
				t = f.propose(2*(at+k), u.x, t)
				t = f.propose(2*(at+k)+1, u.y, t)
			}
		}
		at += units
	}
	return t
}

// seriesR is the resistance, Ω, of one conductor from unit k of a row towards
// the feed.
func (f *Folded) seriesR(l *FoldedLamp, at, k int) float64 {
	r := l.RUnit + f.jr[at+k]
	if k == 0 {
		r += l.Tap - l.RUnit/2
	}
	return r
}

// rowIn draws in a row of one channel.
func (f *Folded) rowIn(l *FoldedLamp, at, units int) (g, c float64) {
	for k := units - 1; k >= 0; k-- {
		gk := f.ug[at+k]
		g += gk
		c += f.ui[at+k] - gk*f.uv[at+k]
		r := 2 * f.seriesR(l, at, k)
		s := 1 / (1 + r*g)
		f.far[at+k] = branch{g, c, s, r}
		g *= s
		c *= s
	}
	return g, c
}

// rowIn2 draws in a row whose every unit has both channels.
func (f *Folded) rowIn2(l *FoldedLamp, at, units int) (sym, vec) {
	var g sym
	var c vec
	for k := units - 1; k >= 0; k-- {
		j := 2 * (at + k)
		g.a += f.ug[j]
		g.d += f.ug[j+1]
		c.x += f.ui[j] - f.ug[j]*f.uv[j]
		c.y += f.ui[j+1] - f.ug[j+1]*f.uv[j+1]
		b := &f.far2[at+k]
		b.g, b.c = g, c
		g, c = b.through(pairR(f.seriesR(l, at, k)))
	}
	return g, c
}
