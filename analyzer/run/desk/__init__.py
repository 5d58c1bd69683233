"""The desk: a page on this machine for people who don't type commands. Loaded by the command `desk` only.

| Part | Responsible for |
|---|---|
| `serve` | the server on 127.0.0.1, the browser, the end |
| `app` | the application factory; `the_desk()`; every error a page in plain words |
| `gate` | Host, Origin, token, cookie, form value, headers |
| `opened` | `open_desk(folder)` -> `Desk`: the store, the files, the crew of a folder |
| `store/` | the database: schema and its steps, a module for each kind of record |
| `recordings` | plain files by SHA-256: recordings, results, reports |
| `work/` | reading and assessing in processes of their own |
| `deliveries` | addresses for files: recordings in, reports, results and exports out |
| `margin/` | what was said beside the findings it speaks of, the score without what was overruled |
| `exchange/` | a lesson as one page or as a ZIP, and back in on another desk |
| `pages/` | what is seen: gathered to plain values, then templates |

How a page reads and writes:

    from analyzer.run.desk.app import the_desk

    with the_desk().store.reading() as view:      # one state of everything throughout
        lesson = lesson_of(view, number)
    with the_desk().store.writing() as change:    # one transaction; on the disk when the block is left
        say(change, the_desk().results, assessment, Said("overrule", reason, author, finding=key))
    the_desk().crew.wake()                        # after a change that asks for work: add_lesson, compare_with

A record that is missing, or words that can't be kept, raise `DeskError` with a line for a person: the application
answers 404 or 400 with it, as a page or, to `Accept: application/json`, as {"error": line}. A page that shows it beside
the field catches it.

Each form sends the form value: `{{ form_field() }}` in a template gives its hidden field; a script sends it along, or
as the header `X-Desk-Form`. Only GET, HEAD and POST pass. Scripts and styles are files of `pages/static`,
`url_for("pages.static", filename=...)`; one that must stand in the page, as a drawing's style, goes through
`gate.allow_inline("style", text)`. `style="..."` attributes are refused by the policy.

The report of an assessment is at `url_for("deliveries.report", assessment=...)`, for an
`<iframe sandbox="allow-scripts allow-downloads allow-modals">`.
"""
