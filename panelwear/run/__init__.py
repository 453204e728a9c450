"""Running a session on the panel: the plan, the engine, one generator a step kind, going on after an interruption.

Effects are passed in with the bench; steps yield messages and touch neither screen nor probe nor files themselves.
The by-eye check stands beside it and is not known here.
"""
