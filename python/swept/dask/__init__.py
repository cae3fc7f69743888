"""Designs and samples past one machine: questions on a Dask cluster (``pip install 'swept[dask]'``), merged exactly.

::

    from distributed import Client
    import swept.dask

    client = Client("tcp://scheduler:8786")        # or one of dask-jobqueue, dask-kubernetes, LocalCluster()
    study = swept.Study(vary=..., fixed=..., limits=...)
    swept.dask.count(study, client, progress=True)
    for table in swept.dask.blocks(study, ["bore", "displacement"], client=client):
        ...
    swept.dask.sample(swept.Sampling(readings=..., fixed=...), 10**10, "deck_clearance", client=client)

``count``, ``feasible``, ``best``, ``excluded`` and ``blocks`` take a ``Study``, ``Columns`` or a ``Scatter``,
``pareto`` a ``Study``, ``sample`` and ``sensitivity`` a ``Sampling``. Every answer is that of its own question in one
process, to the bit, for any number of parts, workers and lost workers. A part is ``partition(i, n)`` of the designs,
or a range of samples. What is asked crosses as its text, with the rows of the part where they are columns; rows, counts
and sums come back. Counts add, rows follow one another, the core chooses the best among those of the parts, and adds
the sums of samples in their order.

- ``client`` is a ``distributed.Client``; without it the current one. ``swept`` of the same version is installed on
  every worker.
- ``parts``: without it 16 for each thread of the cluster, so that the last ones to finish cost little, and more where
  one would be too long. A part is one task on one thread, and other tasks of its worker run meanwhile. Worth having is
  a part of a second or more: the scheduler takes a millisecond or two for each. One question about a grid looks at so
  many steps at most; each part may look at as many, so that more parts answer what one machine refuses.
- A part whose worker was lost is done again by another; what had come back is kept. ``retries`` is how often more a
  part is tried after Dask gives it up, which it does when more workers were lost with it than
  ``distributed.scheduler.allowed-failures``, or when it fails by something else than a refusal of ``swept``.
- ``progress`` as in ``Study``: the share of the parts that are done; of samples, those of the pass under way. Ctrl-C
  cancels the parts that have not begun; those that have run to their end on their workers.

Ask in one process first. ``best`` and ``pareto`` of a grid look at boxes of designs and leave nearly all of them out;
each part has to search by itself, and n parts may cost n searches. ``Columns`` are read about as fast as memory is:
to send them costs more than most questions, and pays for outputs that take long. What is worth a cluster is to count or
list where limits leave doubt about many designs, and samples by the milliard. "Past one machine" in the README plans
10^15 designs on 1,000 cores.
"""

from swept.dask.questions import best, blocks, count, excluded, feasible, pareto
from swept.dask.samples import sample, sensitivity

__all__ = ["best", "blocks", "count", "excluded", "feasible", "pareto", "sample", "sensitivity"]
