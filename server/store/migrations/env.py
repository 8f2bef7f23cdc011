"""How Alembic runs a step: inside the transaction that the caller has begun."""

from alembic import context

from server.store.tables import Row

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Row.metadata,
    render_as_batch=True,
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
