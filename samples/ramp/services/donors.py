"""Donors who are known by their name alone."""

from samples.models import Donor, Lake


def named_donor(lake_id: int, name: str) -> Donor:
    """Find a donor by name, or note a new one; two clerks at one moment note one."""
    named = Donor.objects.filter(lake_id=lake_id, person=None, name=name).order_by("pk")
    known = named.first()
    if known is None:
        Lake.objects.select_for_update(no_key=True).values_list("pk").get(pk=lake_id)
        known = named.first() or Donor.objects.create(lake_id=lake_id, name=name)
    return known
