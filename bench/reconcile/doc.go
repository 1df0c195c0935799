// Package reconcile lays a built lamp's readings beside its prediction and
// learns from the difference.
//
// Every error source of prediction and readings is one unknown e with prior
// mean 0 and standard deviation 1: the part values by what their data sheets
// leave open, the models by what they state, the meter by its calibration. A
// residual is
//
//	d = measured − predicted = J·e,   J = terms of the reading − terms of the prediction
//
// and the update is the linear one of Bayes,
//
//	ê = Jᵀ S⁻¹ d,   Cov = 1 − Jᵀ S⁻¹ J,   S = J Jᵀ
//
// repeated from the corrected lamp so that bends of the model (current against
// voltage) do not mislead it. χ² = dᵀS⁻¹d is exactly Σ ê²: each source's ê² is
// its share of the misfit, and the shares name the likeliest causes.
//
// Source: Gelb (ed.) 1974, Applied Optimal Estimation, ch. 4; Rodgers 2000,
// Inverse Methods for Atmospheric Sounding, 2.3 and 5.3 (repeated step);
// JCGM 102:2011 for correlated readings. Not modelled: errors that are not
// normal; two different faults of one part that show alike.
package reconcile
