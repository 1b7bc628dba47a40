"""What the program is built on: pinned with hashes in `.requirements.lock`, licences in `.licences.md`.

    uv pip compile pyproject.toml --universal --python-version 3.11 --generate-hashes --no-header \
        --no-emit-index-url -o .requirements.lock                     pin again (--upgrade: to what is newest)
    pip install --require-hashes -r .requirements.lock                install exactly that
    python -m tests.dependencies > .licences.md                       list the licences again, from what is installed
"""
