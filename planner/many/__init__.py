"""A whole folder of scenes and clips: found, heard in parallel, checked, summed up.

The road: `find` walks the folder, `ledger` knows what was done before, `run` hands the rest to a
`pool` of processes (this machine's, or a cluster's), `rows` makes a row a line, `summary` and
`page` make the table and the page. `planner.commands.many` is the way in.
"""
