"""Live collection: readings of machines, as they come, into files that `ingest` takes.

    collect_file   collect.toml: servers, readings, columns
    map_text       the map by which the collected files are taken in
    hosts, secret_files   who may be spoken to, and with which pass word
    retries        the one way in which anything is tried again
    counters       the machine's running number: gaps, repeats, new beginnings
    row            one reading, or what was set aside and why
    payload        from a message to rows
    node_values    from values of nodes, each with its time, to rows
    spool          the files: written, synchronised, closed, found again after a fall
    mqtt_source, opcua_source   the two protocols; each imports its package
    collecting     all of it together

Nothing is ever written to a machine.
"""
