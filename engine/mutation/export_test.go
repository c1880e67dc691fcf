package mutation

// Unplanned has OPA's evaluator answer every question.
func (o Options) Unplanned() Options {
	o.unplanned = true
	return o
}
