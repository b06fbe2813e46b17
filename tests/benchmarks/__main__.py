"""`python -m tests.benchmarks`: the site's figures. Other subjects have modules of their own."""

from tests.benchmarks.bench_site import main

main()
